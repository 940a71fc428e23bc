/** The usual cautions of the work; 23 kg is the load constant of the NIOSH lifting equation. */
export function Cautions() {
  return (
    <section class="cautions" aria-label="Before you work">
      <p>
        <b>Open hole:</b> barricade it, never leave it unattended. <b>Confined space:</b> no entry without a
        permit and an air test. <b>Lifting:</b> two people or a hoist above 23 kg (50 lb). <b>Traffic:</b>{' '}
        only inside the closure. <b>Silica:</b> cut wet and wear a mask. The permit, local code and licensed
        practice come before this plan.
      </p>
    </section>
  );
}
