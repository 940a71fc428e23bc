import { createHash } from 'node:crypto';
import type { MultipartFile } from '@fastify/multipart';
import type { FastifyRequest } from 'fastify';
import { HttpProblem } from '../http-problem.ts';

/** An uploaded text file. */
export interface UploadedFile {
  name: string;
  text: string;
  sha256: string;
  warnings: string[];
}

/** Largest upload, bytes: 5 million shots of some 50 characters each. */
export const largestUpload = 300 * 1024 * 1024;

/** The one file of a multipart body. Throws a problem where there is none, more than one, or it is no text. */
export async function readUpload(request: FastifyRequest): Promise<UploadedFile> {
  if (!request.isMultipart()) {
    throw new HttpProblem(415, 'Send the file as the one part of a multipart/form-data body.');
  }
  let found: { part: MultipartFile; bytes: Buffer } | null = null;
  for await (const part of request.parts()) {
    if (part.type !== 'file')
      throw refuse(part.fieldname, 'is not a file; what is to be done goes in the query');
    if (found) throw refuse(part.fieldname, 'is a second file; send one at a time');
    found = { part, bytes: await part.toBuffer() };
  }
  if (!found) throw refuse('file', 'is missing');
  const { part, bytes } = found;
  const { text, warnings } = decode(bytes, part.fieldname);
  return {
    name: cleanName(part.filename),
    text,
    sha256: createHash('sha256').update(bytes).digest('hex'),
    warnings,
  };
}

function refuse(field: string, message: string): HttpProblem {
  return new HttpProblem(400, `${field}: ${message}`, { errors: [{ path: `/${field}`, message }] });
}

/** UTF-8 or UTF-16 with its mark; other bytes are read as Windows-1252, which spreadsheets write, and said so. */
function decode(bytes: Buffer, field: string): { text: string; warnings: string[] } {
  const mark = bytes.subarray(0, 2).toString('hex');
  const encoding = mark === 'fffe' ? 'utf-16le' : mark === 'feff' ? 'utf-16be' : 'utf-8';
  try {
    const text = new TextDecoder(encoding, { fatal: true }).decode(bytes);
    if (text.includes('\0')) throw refuse(field, 'is not a text file');
    return { text, warnings: [] };
  } catch (error) {
    if (error instanceof HttpProblem) throw error;
  }
  const text = new TextDecoder('windows-1252').decode(bytes);
  if (text.includes('\0')) throw refuse(field, 'is not a text file');
  return {
    text,
    warnings: ['The file is not UTF-8; it was read as Windows-1252. Check names with accents.'],
  };
}

/** What people called the file: no folders, nothing unprintable. */
function cleanName(name: string): string {
  const base = name.split(/[\\/]/).pop() ?? '';
  const printable = [...base].filter((character) => character >= ' ' && character !== '\u007f').join('');
  return printable.slice(0, 200) || 'upload';
}
