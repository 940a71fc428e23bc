import type { RingFact } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import { ringName, turnWords } from './ring-words.ts';

/** A stack beside another one, the first ring at the bottom. */
export function MiniStack({ stack, card }: { stack: readonly RingFact[]; card: CoverCard }) {
  if (stack.length === 0) return <p class="mini-stack-none">Frame on the seat</p>;
  return (
    <ol class="mini-stack" reversed>
      {stack
        .map((placed, index) => (
          <li key={index}>
            <b>{index + 1}</b>
            <span>
              {ringName(placed.ring, card.ringCatalogue)}
              <small>{turnWords(placed, card)}</small>
            </span>
          </li>
        ))
        .reverse()}
    </ol>
  );
}
