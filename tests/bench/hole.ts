import type { Page } from 'playwright-core';
import { openHole, press, tapeAndSolve } from '../e2e/hole-page/hand.ts';
import { servePage } from '../e2e/hole-page/serve.ts';
import { browserPath, startBrowser } from '../e2e/running.ts';
import type { Figure } from './types.ts';

/** Even, so that the tapes end as they began. */
const rounds = 20;

/** From the touch of the button to the stack on the page, in a browser whose processor is made four times slower. */
export async function holeFigures(): Promise<Figure[]> {
  if (browserPath === null) return [];
  const [served, browser] = await Promise.all([servePage(), startBrowser()]);
  try {
    const { page } = await openHole(browser, served.address);
    await tapeAndSolve(page);
    const plain = await solveTimes(page);
    const session = await page.context().newCDPSession(page);
    await session.send('Emulation.setCPUThrottlingRate', { rate: 4 });
    const slow = await solveTimes(page);
    const worst = Math.max(...slow).toFixed(0);
    return [figure(median(slow), median(plain), `under 50 ms; worst of ${rounds} here ${worst} ms`)];
  } finally {
    await browser.close();
    await served.stop();
  }
}

async function solveTimes(page: Page): Promise<number[]> {
  const times: number[] = [];
  for (let round = 0; round < rounds; round++) {
    // Other tapes each time: nothing is remembered from the round before.
    await page.getByLabel('Tape at 12 o’clock').focus();
    await press(page, round % 2 ? '−1/16' : '+1/16', 'Done');
    await page.locator('.hole-tabs').waitFor();
    times.push(
      await page.evaluate(async () => {
        const button = [...document.querySelectorAll('button')].find(
          ({ textContent }) => textContent === 'Solve with these tapes',
        )!;
        const start = performance.now();
        button.click();
        while (!document.querySelector('.side .mini-stack')) {
          if (performance.now() - start > 10_000) throw new Error('the tapes were not solved');
          await new Promise((resolve) => setTimeout(resolve));
        }
        document.querySelector('.answer')!.getBoundingClientRect();
        return performance.now() - start;
      }),
    );
  }
  return times;
}

const median = (times: number[]) => times.toSorted((a, b) => a - b)[times.length >> 1];

const figure = (milliseconds: number, plain: number, aim: string): Figure => ({
  name: 'Solved from tapes on a phone (4 x slower)',
  perSecond: 1000 / milliseconds,
  microseconds: 1000 * milliseconds,
  unit: 'stacks',
  beside: 'the same page at full speed',
  ratio: plain / milliseconds,
  aim,
});
