import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    // Browser tests on a loaded build machine may meet a time limit; a fault in the code fails each time.
    retry: process.env.CI ? 2 : 0,
    globalSetup: ['tests/helpers/database-server.ts'],
    coverage: { provider: 'v8', include: ['core/**/*.ts'], exclude: ['core/**/types.ts'] },
  },
});
