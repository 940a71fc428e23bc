import { expect, it } from 'vitest';
import { paperAddress } from '../../web/views/paper-links.tsx';

it('addresses documents whatever is in an id', () => {
  const project = { agencyId: 'mossvale', id: 'quay-lane' };
  expect(paperAddress(project, 'covers', 'MH 7?#ü', 'sheet.pdf')).toBe(
    '/api/agencies/mossvale/projects/quay-lane/covers/MH%207%3F%23%C3%BC/sheet.pdf',
  );
});
