/** A fault that ends a command: its lines go to standard error and the exit is 2. */
export class Refusal extends Error {
  readonly lines: string[];
  constructor(...lines: string[]) {
    super(lines.join('\n'));
    this.lines = lines;
  }
}
