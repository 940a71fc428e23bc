import { answerLayers } from './layers.ts';
import { PaintedSymbol } from './status-symbol.tsx';

/** The answer about the next overlay, beside its word; itself silent to readers. */
export const AnswerSymbol = ({ answer, size = 16 }: { answer: keyof typeof answerLayers; size?: number }) => (
  <PaintedSymbol layers={answerLayers[answer]} size={size} />
);
