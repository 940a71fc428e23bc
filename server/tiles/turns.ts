interface Waiting {
  weight: number;
  begin(): void;
}

/** Lets no more than so many pieces of work go on at once. Of those that wait the lightest is next, of alike ones the first. */
export class Turns {
  readonly #most: number;
  readonly #waiting: Waiting[] = [];
  #taken = 0;

  constructor(most: number) {
    this.#most = most;
  }

  async take<Made>(weight: number, work: () => Promise<Made>): Promise<Made> {
    if (this.#taken < this.#most) this.#taken += 1;
    // Whoever ends hands his turn on, so that nobody who comes meanwhile takes it.
    else await new Promise<void>((begin) => this.#queue({ weight, begin }));
    try {
      return await work();
    } finally {
      const next = this.#waiting.shift();
      if (next) next.begin();
      else this.#taken -= 1;
    }
  }

  #queue(waiting: Waiting): void {
    const place = this.#waiting.findIndex(({ weight }) => weight > waiting.weight);
    this.#waiting.splice(place === -1 ? this.#waiting.length : place, 0, waiting);
  }
}
