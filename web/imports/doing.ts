/** Rows that are stored all the same; what is named here has to be looked at by a person. */
const kept: Readonly<Record<string, string>> = {
  mangledId: 'Kept as written',
  notReal: 'Kept; leave it out if it is none',
  floatSolution: 'Kept; cannot decide a cover alone',
  unknownCodes: 'Kept, read as pavement unless you say',
  mixedEpochs: 'Kept; store each day as a surface of its own',
  copiedAsBuilts: 'Kept; these may be the plan and not a survey',
  rimDiffers: 'Kept; look at the datum and the unit',
  rimOffset: 'Kept; look at the datum and the unit',
  rimUnit: 'Kept; look at the unit',
  samePlace: 'Both kept',
  samePlaceConflict: 'Both kept; the fit leaves out what disagrees',
  rodHeight: 'Kept; the fit leaves out what disagrees',
  offSurface: 'Kept; the fit leaves out what disagrees',
  oneLine: 'Kept; points in one line give no surface',
};

/** Checks and readers whose finding takes the row out. Anything else that names a row does so too. */
const leftOut: Readonly<Record<string, string>> = {
  sentinel: 'Left out: it stands for no elevation',
  falseZero: 'Left out: it stands for no elevation',
  allZero: 'Left out: it stands for no elevation',
  setAside: 'Left out: it stands for no elevation',
  duplicateId: 'The first is kept, this one left out',
  leftOut: 'Left out, as you said',
};

/** What is done about a problem of a row, in a few words. */
export function doingWords({ code, column }: { code: string; column: string | null }): string {
  // Without a column it is the register's own note: a casting that it knows keeps its place.
  if (code === 'noPlace' && column === null) return 'Kept where the register has its place, else left out';
  return kept[code] ?? leftOut[code] ?? 'Left out';
}
