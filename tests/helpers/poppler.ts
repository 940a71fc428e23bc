import { spawnSync } from 'node:child_process';

/** Whether poppler's tools are here (Debian package poppler-utils), which read the PDFs of the tests. */
export const hasPoppler = spawnSync('pdftotext', ['-v']).status === 0;
