// How the browser tests run: one Chromium, a phone's size and touch by default, the built page from dist/.
import { defineConfig } from '@playwright/test';

export default defineConfig({
  testDir: 'journeys',
  outputDir: 'results',
  workers: 2,
  fullyParallel: true,
  timeout: 60_000,
  // A busy machine plans a week in more than the usual five seconds.
  expect: { timeout: 15_000 },
  retries: 0,
  reporter: [['list']],
  use: {
    viewport: { width: 360, height: 740 },
    hasTouch: true,
    isMobile: true,
    locale: 'en-US',
    timezoneId: 'America/Denver',
    launchOptions: {
      executablePath: process.env.DRYCURB_CHROMIUM || undefined,
      args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
        '--disable-component-update', '--disable-sync'],
    },
  },
});
