import { computed, effect, signal } from '@preact/signals';
import type { OverlayBody, OverlayPage, OverlayRow } from '#shared/outlook.ts';
import { type AgencyApi, faultOf } from '../api.ts';
import { type Fault, project, tilesChanged, view } from '../state.ts';
import { asked } from './asked.ts';

export type Answer = OverlayRow['answer'];
export const answers = ['yes', 'no', 'unknown'] as const satisfies readonly Answer[];

export const answerWords: Record<Answer, string> = {
  yes: 'Can take it',
  no: 'Cannot',
  unknown: 'Not known',
};

/** What the server answered: counts over all that is asked about, and rows as far as the page holds them. */
export interface Answered extends Omit<OverlayPage, 'next'> {
  body: OverlayBody;
  /** There are more rows than the page holds. */
  isCut: boolean;
  /** Answer that the rows were asked for: of a large question the first rows of all say little of one answer. */
  only: Answer | null;
}

export interface AnswerState {
  value: Answered | null;
  loading: boolean;
  fault: Fault | null;
}

export const answer = signal<AnswerState>({ value: null, loading: false, fault: null });

const pageRows = 5000;
/** So many rows are drawn and listed; the file has all of them. */
export const mostRows = 10_000;
/** Typing has to rest for so long before the server is asked. */
const restMs = 250;

interface Question {
  body: OverlayBody;
  /** Answer that the address holds map and table to. */
  wanted: Answer | null;
}

async function read(api: AgencyApi, { body, wanted }: Question, abort: AbortSignal): Promise<Answered> {
  let page = await api.overlayOutlook({ ...body, limit: pageRows }, abort);
  const only = page.total > mostRows ? wanted : null;
  const held = { ...body, limit: pageRows, ...(only === null ? {} : { answer: only }) };
  if (only !== null) page = await api.overlayOutlook(held, abort);
  const items = [...page.items];
  while (page.next !== null && items.length < mostRows) {
    page = await api.overlayOutlook({ ...held, after: page.next }, abort);
    items.push(...page.items);
  }
  const { next, ...rest } = page;
  return { ...rest, items, body, isCut: next !== null, only };
}

/** Keeps the answer that of the question in the address; returns what ends it. */
export function followQuestion(server: () => AgencyApi): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let controller = new AbortController();
  let seen = '';
  const end = effect(() => {
    const question = asked.value;
    const changed = tilesChanged.value;
    if (!question || 'fault' in question) return;
    const wanted = answers.find((one) => one === view.value.overlay.answer) ?? null;
    const isLarge = (answer.peek().value?.total ?? 0) > mostRows;
    const now = JSON.stringify([
      question.body,
      changed,
      project.value?.inputRevision,
      isLarge ? wanted : null,
    ]);
    if (now === seen) return;
    const isFirst = seen === '';
    seen = now;
    clearTimeout(timer);
    controller.abort();
    controller = new AbortController();
    const { signal: abort } = controller;
    answer.value = { ...answer.peek(), loading: true };
    const start = async () => {
      try {
        answer.value = {
          value: await read(server(), { body: question.body, wanted }, abort),
          loading: false,
          fault: null,
        };
      } catch (error) {
        if (!abort.aborted) answer.value = { ...answer.peek(), loading: false, fault: faultOf(error) };
      }
    };
    timer = setTimeout(start, isFirst ? 0 : restMs);
  });
  return () => {
    end();
    clearTimeout(timer);
    controller.abort();
  };
}

export const orders = ['id', 'street', 'answer', 'chimney', 'after', 'left', 'overlays'] as const;
export type Order = (typeof orders)[number];

const keys: Record<Order, (row: OverlayRow) => string | number | null> = {
  id: ({ id }) => id,
  street: ({ street }) => street,
  answer: (row) => answers.indexOf(row.answer),
  chimney: ({ buildupM }) => buildupM,
  after: ({ afterM }) => afterM,
  left: ({ remainingM }) => remainingM,
  overlays: ({ overlaysLeft }) => overlaysLeft,
};

const collator = new Intl.Collator('en', { numeric: true });

/** Rows in an order; what is not known comes last either way, and the same keep their order. */
export function sortRows(rows: readonly OverlayRow[], by: Order, isDown: boolean): OverlayRow[] {
  const keyOf = keys[by];
  const sign = isDown ? -1 : 1;
  return [...rows].sort((a, b) => {
    const [one, other] = [keyOf(a), keyOf(b)];
    if (one === null || other === null) return Number(one === null) - Number(other === null);
    if (typeof one === 'string') return sign * collator.compare(one, String(other));
    return sign * (one - Number(other));
  });
}

export function readOrder(order: string | null): { by: Order; isDown: boolean } {
  const name = (order ?? '').replace(/^-/, '');
  return { by: orders.find((one) => one === name) ?? 'id', isDown: order?.startsWith('-') ?? false };
}

/** The rows that map and table show: of one answer where the address says so. */
export const shownRows = computed(() => {
  const items = answer.value.value?.items ?? [];
  const { answer: only, order } = view.value.overlay;
  const kept = only === null ? items : items.filter((row) => row.answer === only);
  const { by, isDown } = readOrder(order);
  return sortRows(kept, by, isDown);
});
