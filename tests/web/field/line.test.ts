import { expect, it } from 'vitest';
import { ApiError } from '../../../web/api.ts';
import { lineOf } from '../../../web/field/line.ts';

const refused = (status: number, message: string) => new ApiError(status, { message, fields: [] });

it('there is no signal only where nothing answered', () => {
  expect(lineOf(new TypeError('Failed to fetch'))).toEqual({ state: 'none' });
  expect(lineOf(refused(0, 'The server does not answer.'))).toEqual({ state: 'none' });
});

it.each([403, 404, 500, 502])('an answer of %d is a refusal, in the server’s words', (status) => {
  const found = lineOf(refused(status, 'There is no project "x".'));
  expect(found).toEqual({
    state: 'refused',
    words: `There is a signal, but the server does not give what this phone asks for (HTTP ${status}). There is no project "x".`,
  });
});
