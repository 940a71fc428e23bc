import { SaxesParser } from 'saxes';
import type { Problem } from '../problem.ts';
import { fault } from './faults.ts';
import { headOf, plainHead, textChunks, xmlEncoding } from './textChunks.ts';
import type { ByteSource } from './types.ts';

export type XmlAttributes = Readonly<Record<string, string>>;

/** What an XML file is told to. Names stand as written, prefix included. */
export interface XmlHandler {
  /** True: the text of this element is wanted when it closes. */
  open(name: string, attributes: XmlAttributes, row: number): boolean;
  /** `text` is the element's own text up to here, or null where it was not asked for. */
  close(name: string, text: string | null, row: number): void;
  /** A reason to read no further. */
  readonly refused: Problem | null;
}

export interface XmlLimits {
  /** Elements inside one another. */
  deepest: number;
  /** Characters of one element whose text is wanted. */
  longestText: number;
  /** Characters of one tag, comment, instruction or text that is not wanted. */
  longestPart: number;
}

export const defaultXmlLimits: XmlLimits = { deepest: 100, longestText: 2 ** 24, longestPart: 2 ** 21 };

/**
 * Reads XML as it comes, well-formed or not at all: the first fault ends it and is returned. A document type
 * declaration is refused, so that no entity is ever declared or fetched; memory stays within the limits.
 */
export async function streamXml(
  source: ByteSource,
  handler: XmlHandler,
  limits: XmlLimits = defaultXmlLimits,
): Promise<Problem | null> {
  const head = await headOf(source);
  const encoding = xmlEncoding(head);
  if (encoding === null)
    return fault({
      code: 'encoding',
      row: 1,
      message: 'the XML declaration names an encoding that is not known',
    });
  const stream = new XmlStream(handler, limits, plainHead(head));
  for await (const text of textChunks(source, encoding)) {
    const problem = stream.write(text);
    if (problem) return problem;
  }
  return stream.close();
}

class XmlStream {
  readonly #parser = new SaxesParser({ position: true });
  readonly #handler: XmlHandler;
  readonly #limits: XmlLimits;
  readonly #head: string;
  #depth = 0;
  #fault: Problem | null = null;
  /** Texts asked for, from the outermost open element inwards. */
  readonly #texts: (string | null)[] = [];
  /** Where each open element began, in characters written. */
  readonly #begins: number[] = [];
  #written = 0;
  /** Characters written when the parser last finished something; what came since is what it holds. */
  #finishedAt = 0;

  constructor(handler: XmlHandler, limits: XmlLimits, head: string) {
    this.#handler = handler;
    this.#limits = limits;
    this.#head = head;
    const parser = this.#parser;
    const finished = () => {
      this.#finishedAt = this.#written;
    };
    parser.on('comment', finished);
    parser.on('processinginstruction', finished);
    parser.on('doctype', () => this.#stop(docType()));
    parser.on('error', ({ message }) => this.#stop(this.#notWellFormed(message)));
    parser.on('text', (text) => this.#say(text));
    parser.on('cdata', (text) => this.#say(text));
    parser.on('opentag', ({ name, attributes }) => {
      finished();
      if (++this.#depth > this.#limits.deepest) {
        const message = `elements stand inside one another more than ${this.#limits.deepest} deep`;
        this.#stop(fault({ code: 'tooDeep', row: parser.line, message }));
      }
      if (this.#fault) return;
      this.#begins.push(this.#written);
      this.#texts.push(this.#handler.open(name, attributes as XmlAttributes, parser.line) ? '' : null);
    });
    parser.on('closetag', ({ name }) => {
      finished();
      this.#depth--;
      if (this.#fault) return;
      this.#begins.pop();
      this.#handler.close(name, this.#texts.pop() ?? null, parser.line);
    });
  }

  write(text: string): Problem | null {
    this.#written += text.length;
    this.#parser.write(text);
    const isWanted = (this.#texts.at(-1) ?? null) !== null;
    const from = isWanted ? this.#begins[this.#begins.length - 1] : this.#finishedAt;
    const limit = isWanted ? this.#limits.longestText : this.#limits.longestPart;
    if (this.#written - from > limit) this.#stop(this.#tooLong(limit));
    return this.#fault ?? this.#handler.refused;
  }

  close(): Problem | null {
    this.#parser.close();
    return this.#fault ?? this.#handler.refused;
  }

  #say(text: string): void {
    this.#finishedAt = this.#written;
    const inner = this.#texts.length - 1;
    const before = this.#texts[inner];
    if (inner >= 0 && before !== null) this.#texts[inner] = before + text;
  }

  #stop(problem: Problem): void {
    this.#fault ??= problem;
  }

  #notWellFormed(message: string): Problem {
    const said = message.replace(/^\d+:\d+:\s*/, '').replace(/\.$/, '');
    return fault({ code: 'notWellFormed', row: this.#parser.line, message: `not well-formed XML: ${said}` });
  }

  #tooLong(limit: number): Problem {
    // The parser reports a declaration only when it ends, and this one has no end in sight.
    if (this.#depth === 0 && this.#head.includes('<!DOCTYPE')) return docType();
    const message = `a text, tag or comment is longer than ${limit.toLocaleString('en')} characters`;
    return fault({ code: 'tooLong', row: this.#parser.line, message });
  }
}

function docType(): Problem {
  const message =
    'a document type declaration (DOCTYPE) is refused: survey data has no use for entities, and they can harm';
  return fault({ code: 'docType', row: 1, message });
}
