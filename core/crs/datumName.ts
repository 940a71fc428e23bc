import { plain } from './methods.ts';

/** Names of one datum in the flavours of well-known text, plain: the first that fits is it. */
const families: readonly (readonly [RegExp, string])[] = [
  [/csrs.*?v(ersion)?(\d)/, 'nad83csrs$2'],
  [/csrs|canadianspatialreference/, 'nad83csrs'],
  [/(nad|north.*american|nad83|national).*(harn|highaccuracy)/, 'nad83harn'],
  [/(nad|north.*american|national).*(nsrs2007|spatialreferencesystem2007)/, 'nad83nsrs2007'],
  [/nad83?.*2011|nad19832011|northamerican.*19832011/, 'nad83-2011'],
  [/(nad|northamerican).*(cors96|referencestation1996)/, 'nad83cors96'],
  [/(nad|northamerican).*pa11/, 'nad83pa11'],
  [/(nad|northamerican).*ma11/, 'nad83ma11'],
  [/(nad|northamerican).*1927$|^nad27$/, 'nad27'],
  [/(nad|northamerican).*1983$|^nad83$/, 'nad83'],
  [/^(etrs|europeanterrestrialreferencesystem)(19)?89$/, 'etrs89'],
  [/^(wgs|worldgeodeticsystem)(19)?84/, 'wgs84'],
  [/^(wgs|worldgeodeticsystem)(19)?72$/, 'wgs72'],
  [/^(osgb|ordnancesurveyofgreatbritain)(19)?36$/, 'osgb36'],
  [/^(gda|geocentricofaustralia)(19)?94$/, 'gda94'],
  [/^(gda|geocentricofaustralia)2020$/, 'gda2020'],
  [/^(nzgd|newzealand(geodetic)?)(1949|49)$/, 'nzgd49'],
  [/^(nzgd|newzealandgeodetic)2000$/, 'nzgd2000'],
  [/^(rgf|reseaugeodesiquefrancais)(19)?93(v1)?$/, 'rgf93'],
  [/^(ntf|nouvelletriangulationfrancaise)/, 'ntf'],
  [/^(belge|reseaunationalbelge)1972$/, 'bd72'],
  [/^(mgi|militargeographischeinstitut)$/, 'mgi'],
  [
    /^(sjtsk|systemof(the)?unifiedtrigonometricalcadastral(network)?|systemjednotnetrigonometricke.*)$/,
    'sjtsk',
  ],
  [/^(sirgas|sistemadereferenciageocentricoparalasamericas)2000$/, 'sirgas2000'],
  [/^(jgd|japanesegeodetic)2000$/, 'jgd2000'],
  [/^(jgd|japanesegeodetic)2011$/, 'jgd2011'],
  [/^(rt|rikets?koordinatsystem)(19)?90$/, 'rt90'],
  [/^(ed|european)(19)?50$/, 'ed50'],
  [/^(kkj|kartastokoordinaattijarjestelma(1966)?)$/, 'kkj'],
  [/^(magna(sirgas)?|marcogeocentriconacionaldereferencia)$/, 'magna'],
  [/^korean?geodetic2002$|^geocentricofkorea$|^korea2000$/, 'korea2000'],
  [/^(psad|provisionals(outh)?american)(19)?56$/, 'psad56'],
  [/^hartebeesthoek(19)?94$/, 'hartebeesthoek94'],
  [/^(agd|australian(geodetic)?)(19)?66$/, 'agd66'],
  [/^(agd|australian(geodetic)?)(19)?84$/, 'agd84'],
];

/**
 * One key for the names of a datum: `D_North_American_1983`, `North_American_Datum_1983` and `NAD83` give the same.
 * The names are those of the EPSG register and of the definitions that desktop systems write beside shapefiles.
 */
export function datumKey(name: string): string {
  const key = plain(name.replace(/^(D|GCS)_/i, '')).replace(/(datum(of)?|ensemble)/g, '');
  for (const [pattern, replacement] of families) {
    const match = pattern.exec(key);
    if (match !== null) return replacement.replace('$2', match[2] ?? '');
  }
  return key.replace(/(adj|definition)/g, '').replace(/(19|20)(?=\d\d(?!\d))/g, '');
}
