/** EPSG code of longitude and latitude on WGS 84. */
export const lonLatEpsg = 4326;

/**
 * The EPSG code that a reference names: `EPSG:n`, `urn:ogc:def:crs:EPSG::n`, with a version, the OGC address, or
 * CRS84 (OGC 06-103r4, 07-092r3). Null for anything else, WKT among it.
 */
export function epsgOfReference(text: string): number | null {
  const trimmed = text.trim();
  if (
    /^(urn:(ogc|x-ogc):def:crs:|https?:\/\/www\.opengis\.net\/def\/crs\/)?(OGC[:/][^:/]*[:/])?CRS:?84$/i.test(
      trimmed,
    )
  )
    return lonLatEpsg;
  const match =
    /^(?:urn:(?:ogc|x-ogc):def:crs:)?EPSG:(?:[\d.]*:)?(\d{4,6})$/i.exec(trimmed) ??
    /^https?:\/\/(?:www\.)?[a-z.-]+\/[\w/.-]*epsg(?:\.xml#|\/(?:[\d.]+\/)?)(\d{4,6})(?:\/\w*)*$/i.exec(
      trimmed,
    );
  return match === null ? null : Number(match[1]);
}
