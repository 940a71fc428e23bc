/** Text of a LandXML surface on a square lattice, in pieces: `2 (side - 1)^2` faces, gently waved. */
export function* latticeLandXml(side: number): Generator<string> {
  yield '<?xml version="1.0"?>\n<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">\n';
  yield '<Units><Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter"/></Units>\n';
  yield '<Surfaces><Surface name="lattice"><Definition surfType="TIN"><Pnts>\n';
  for (let row = 0; row < side; row++) {
    let text = '';
    for (let column = 0; column < side; column++) {
      const z = 100 + Math.sin(row / 20) + 0.02 * column;
      const id = row * side + column + 1;
      text += `<P id="${id}">${(4000 + 2.5 * row).toFixed(4)} ${(7000 + 2.5 * column).toFixed(4)} ${z.toFixed(4)}</P>\n`;
    }
    yield text;
  }
  yield '</Pnts><Faces>\n';
  for (let row = 0; row + 1 < side; row++) {
    let text = '';
    for (let column = 0; column + 1 < side; column++) {
      const a = row * side + column + 1;
      text += `<F>${a} ${a + 1} ${a + side}</F>\n<F>${a + 1} ${a + side + 1} ${a + side}</F>\n`;
    }
    yield text;
  }
  yield '</Faces></Definition></Surface></Surfaces></LandXML>\n';
}
