import type { Page } from 'playwright-core';

/**
 * What of the hole's screens, or of another part of a page, is too small or too faint: text under 16.5 px, contrast under 7:1 (WCAG 2.2 relative
 * luminance), touch targets under 56 by 44 px, and a page wider than the phone. One line each.
 */
export function faintOrSmall(page: Page, part = '.hole *'): Promise<string[]> {
  return page.evaluate((measured) => {
    const numbers = (text: string) => (text.match(/[\d.]+/g) ?? []).map(Number);
    const linear = (part: number) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
    const luminance = ([red, green, blue]: number[]) =>
      0.2126 * linear(red / 255) + 0.7152 * linear(green / 255) + 0.0722 * linear(blue / 255);
    const groundOf = (from: Element): number[] => {
      for (let at: Element | null = from; at; at = at.parentElement) {
        const ground = numbers(getComputedStyle(at).backgroundColor);
        if (ground.length < 4 || ground[3] > 0) return ground;
      }
      return [255, 255, 255];
    };
    const faults: string[] = [];
    let texts = 0;
    for (const one of document.querySelectorAll(measured)) {
      if (one.closest('.hidden') || one.getClientRects().length === 0) continue;
      const style = getComputedStyle(one);
      const name = `${one.tagName.toLowerCase()}.${one.getAttribute('class') ?? ''} "${(one.textContent ?? '').slice(0, 24)}"`;
      if ([...one.childNodes].some((node) => node.nodeType === 3 && node.textContent?.trim())) {
        texts++;
        if (Number.parseFloat(style.fontSize) < 16.5) faults.push(`${style.fontSize} text ${name}`);
        const [a, b] = [
          luminance(numbers(one instanceof SVGElement ? style.fill : style.color)),
          luminance(groundOf(one)),
        ];
        const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
        if (contrast < 7) faults.push(`${contrast.toFixed(1)}:1 ${name}`);
      }
      if (one.matches('button, a, select, textarea, label:not(.field-label), .size-input, .text-input')) {
        const { width, height } = one.getBoundingClientRect();
        if (height < 55.9 || width < 44)
          faults.push(`${Math.round(width)}x${Math.round(height)} target ${name}`);
      }
    }
    if (texts < 5) faults.push('hardly any text: nothing was measured');
    if (document.documentElement.scrollWidth > innerWidth) faults.push('wider than the phone');
    return faults;
  }, part);
}
