/** A ring from the side: its taper is a sign, not to scale. */
export function SlabSign({ isTapered, thicknessM }: { isTapered: boolean; thicknessM: number }) {
  // From 10 px for the thinnest to 34 px for a three-inch ring.
  const high = Math.max(10, Math.min(34, (thicknessM / 0.0762) * 34));
  const path = isTapered ? 'M1 3V37H51V25Z' : `M1 ${38 - high}H51V37H1Z`;
  return (
    <svg width="52" height="40" aria-hidden="true">
      <path
        d={path}
        fill={isTapered ? '#8d9995' : '#c9d0cc'}
        stroke="var(--ink)"
        stroke-width="1.6"
        stroke-linejoin="round"
      />
    </svg>
  );
}
