import { LandXmlDocument } from './landXml/document.ts';
import { encodingOfMark, plainHead } from './textChunks.ts';
import type { Reader } from './types.ts';
import { streamXml } from './xmlStream.ts';

/**
 * LandXML 1.0 to 2.0, whatever its namespace prefix: CgPoints, TIN surfaces with their source lines, alignments as
 * centre lines, structures of pipe networks. Places are northing, easting, elevation in the file; x is east here.
 * A face marked i="1" is invisible and left out. Element and attribute names are those of the published schemas
 * (landxml.org, LandXML-1.2.xsd).
 */
export const landXmlReader: Reader = {
  format: 'landxml',
  label: 'LandXML',
  extensions: ['xml', 'landxml'],

  recognises(name, head) {
    const text = plainHead(head);
    const start = encodingOfMark(head) === 'utf-8' ? text.slice(3) : text.replace(/^[þÿ]+/, '');
    if (!start.trimStart().startsWith('<')) return 0;
    if (/<(?:[\w.-]+:)?LandXML[\s>/]/.test(text)) return 1;
    return /\.(?:xml|landxml)$/i.test(name) ? 0.4 : 0.1;
  },

  async open([source]) {
    const document = new LandXmlDocument();
    return (await streamXml(source, document)) ?? document.finish();
  },
};
