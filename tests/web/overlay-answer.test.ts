import { signal } from '@preact/signals';
import { expect, it, vi } from 'vitest';
import type { OverlayBody, OverlayPage } from '#shared/outlook.ts';
import type { AgencyApi } from '../../web/api.ts';

/** A register of which every second cover takes the overlay, as the server pages it. */
function registerOf(total: number, asked: OverlayBody[]) {
  const all = Array.from({ length: total }, (_, at) => ({
    id: String(at).padStart(6, '0'),
    answer: at % 2 === 0 ? 'yes' : 'no',
  }));
  return {
    overlayOutlook: async (body: OverlayBody) => {
      asked.push(body);
      const kept = all.filter(
        ({ id, answer }) => (body.answer ?? answer) === answer && id > (body.after ?? ''),
      );
      const items = kept.slice(0, body.limit);
      const next = items.length < kept.length ? items[items.length - 1].id : null;
      const counts = { yes: Math.ceil(total / 2), no: Math.floor(total / 2), unknown: 0 };
      return { total, counts, reasons: {}, items, next } as unknown as OverlayPage;
    },
  } as unknown as AgencyApi;
}

vi.mock('../../web/outlook/asked.ts', () => ({
  asked: signal({ body: { thicknessM: 0.05, millM: 0 } }),
}));

it('asks the server for the rows of one answer where the page cannot hold them all', async () => {
  const { answer, followQuestion, mostRows, shownRows } = await import('../../web/outlook/answer.ts');
  const { view } = await import('../../web/state.ts');
  const asked: OverlayBody[] = [];
  const end = followQuestion(() => registerOf(3 * mostRows, asked));
  await vi.waitFor(() => expect(answer.value.value?.items).toHaveLength(mostRows));
  expect(answer.value.value).toMatchObject({ isCut: true, only: null });
  view.value = { ...view.value, overlay: { ...view.value.overlay, answer: 'no' } };
  await vi.waitFor(() => expect(answer.value.value?.only).toBe('no'));
  expect(shownRows.value).toHaveLength(mostRows);
  expect(shownRows.value.every((row) => row.answer === 'no')).toBe(true);
  expect(asked.filter((body) => body.answer === 'no').length).toBeGreaterThanOrEqual(2);
  end();
});
