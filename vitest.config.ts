import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/helpers/database-server.ts'],
    coverage: { provider: 'v8', include: ['core/**/*.ts'], exclude: ['core/**/types.ts'] },
  },
});
