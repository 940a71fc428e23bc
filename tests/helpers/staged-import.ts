import type { ImportAnswers, ImportTarget, StagedImport, UploadFile } from '#shared/staged-import.ts';
import { projectPath, type TestApp } from './app.ts';

export const importsPath = `${projectPath}/imports`;

/** An import as a client drives it. */
export interface ImportClient {
  path: string;
  now(): Promise<StagedImport>;
  /** Waits until it is at rest. */
  rest(): Promise<StagedImport>;
  sendPart(
    bytes: Uint8Array | string,
    offset: number,
    number?: number,
  ): Promise<{ status: number; file: UploadFile }>;
  answer(answers: ImportAnswers): Promise<StagedImport>;
  act(
    word: 'commit' | 'cancel' | 'discard' | 'read',
  ): Promise<{ status: number; body: StagedImport & { detail: string } }>;
  /** Answers every open question: as given, else as is likeliest, else with the first choice. */
  answerAll(given?: Record<string, string>): Promise<StagedImport>;
  /** Answers what is open and stores; throws where it does not end up stored. */
  store(given?: Record<string, string>): Promise<StagedImport>;
  undo(changedSince?: 'refuse' | 'skip'): ReturnType<TestApp['inject']>;
}

const atRest = ['uploaded', 'ready', 'stored', 'undone', 'failed', 'discarded'];

/** Says that a file comes; nothing of it is sent yet. */
export async function openImportOf(
  test: TestApp,
  files: { name: string; content: string | Uint8Array }[],
  target: ImportTarget = {},
): Promise<ImportClient> {
  const sizes = files.map(({ name, content }) => ({ name, sizeBytes: Buffer.from(content).length }));
  const created = await test.inject({
    method: 'POST',
    url: importsPath,
    payload: { files: sizes, target },
  });
  if (created.statusCode !== 201) throw new Error(created.body);
  const path = created.headers.location as string;
  const json = async (method: 'GET' | 'POST' | 'PATCH', url: string, payload?: object) =>
    test.inject({ method, url, ...(payload ? { payload } : {}) });
  const now = async () => (await json('GET', path)).json<StagedImport>();
  const rest = async () => {
    for (let tries = 0; tries < 1200; tries += 1) {
      const found = await now();
      if (atRest.includes(found.state)) return found;
      await new Promise((resolve) => setTimeout(resolve, 25));
    }
    throw new Error('The import was not at rest after 30 s');
  };
  const client: ImportClient = {
    path,
    now,
    rest,
    sendPart: async (bytes, offset, number = 1) => {
      const answer = await test.inject({
        method: 'PATCH',
        url: `${path}/files/${number}`,
        headers: { 'content-type': 'application/partial-upload', 'upload-offset': String(offset) },
        payload: Buffer.from(bytes),
      });
      return { status: answer.statusCode, file: answer.json<UploadFile>() };
    },
    answer: async (answers) => {
      const answer = await json('PATCH', path, answers);
      if (answer.statusCode !== 200) throw new Error(answer.body);
      return rest();
    },
    act: async (word) => {
      const answer = await json('POST', `${path}/${word}`);
      return { status: answer.statusCode, body: answer.json() };
    },
    answerAll: async (given = {}) => {
      for (let round = 0; round < 6; round += 1) {
        const found = await rest();
        const open = found.preview?.questions.filter(({ isOpen }) => isOpen) ?? [];
        if (open.length === 0) return found;
        const answers = open.map(({ id, likely, choices }) => [id, given[id] ?? likely ?? choices[0].id]);
        await client.answer({ questions: Object.fromEntries(answers) });
      }
      throw new Error('Questions stay open');
    },
    store: async (given) => {
      await client.answerAll(given);
      const { status, body } = await client.act('commit');
      if (status !== 200) throw new Error(body.detail);
      const end = await rest();
      if (end.state !== 'stored') throw new Error(`${end.state}: ${end.said}`);
      return end;
    },
    undo: (changedSince = 'refuse') => json('POST', `${path}/undo`, { changedSince }),
  };
  return client;
}

/** Uploads the files whole and waits until they are read. */
export async function uploadWhole(
  test: TestApp,
  files: { name: string; content: string | Uint8Array }[],
  target?: ImportTarget,
): Promise<ImportClient> {
  const client = await openImportOf(test, files, target);
  for (const [index, { content }] of files.entries()) await client.sendPart(content, 0, index + 1);
  await client.rest();
  return client;
}

/** Answers that the files of registerCsv and shotsCsv need. */
export const asProject = {
  crs: 'project',
  horizontalUnit: 'm',
  axisOrder: 'asRead',
  verticalUnit: 'm',
  stage: 'finished',
};

/** Stores a file as it stands, in the project's units. */
export async function storeFile(
  test: TestApp,
  name: string,
  content: string | Uint8Array,
  target?: ImportTarget,
): Promise<StagedImport> {
  return (await uploadWhole(test, [{ name, content }], target)).store(asProject);
}
