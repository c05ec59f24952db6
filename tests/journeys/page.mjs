// The page as the journeys handle it: a server of its own, a guard on every request and error, and the Pocket's parts
// by their names.
import { test as base, expect } from '@playwright/test';
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

import { serve } from '../tools/serve.mjs';

export { expect };
export const ROOT = fileURLToPath(new URL('../..', import.meta.url));
export const DIST = `${ROOT}/dist`;

/** Asks the native `lines` program; gives its answers in order. */
export const lines = (requests) => {
  const run = spawnSync(`${ROOT}/target/release/examples/lines`, {
    input: requests.map((request) => `${JSON.stringify(request)}\n`).join(''),
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  if (run.status !== 0) throw new Error(run.stderr);
  return run.stdout.trim().split('\n').map((line) => JSON.parse(line));
};

/** Fails a test on a request to anywhere else, an error on the page, or a breach of its security policy. */
export const guard = (context, origin, faults) => {
  context.on('request', (request) => {
    const url = request.url();
    if (!url.startsWith(origin) && !url.startsWith('data:') && !url.startsWith('blob:')) {
      faults.push(`request to ${url}`);
    }
  });
  context.on('weberror', (error) => faults.push(`error: ${error.error()}`));
  context.on('console', (message) => {
    if (message.type() === 'error' && !/integrity/.test(message.text())) faults.push(`console: ${message.text()}`);
  });
};

export const test = base.extend({
  // eslint-disable-next-line no-empty-pattern
  server: [async ({}, use) => {
    const server = await serve(DIST);
    await use(server);
    await server.stop();
  }, { scope: 'worker' }],
  guarded: [true, { option: true }],
  pocket: async ({ page, context, server, guarded }, use) => {
    const faults = [];
    guard(context, server.address, faults);
    await page.goto(server.address);
    await page.getByRole('heading', { name: 'Drycurb' }).waitFor();
    await use(new Pocket(page));
    if (guarded) expect(faults).toEqual([]);
  },
});

/** The Pocket: rows, fields, answers. Names are English unless a row's own is given. */
export class Pocket {
  constructor(page) {
    this.page = page;
    this.strip = page.locator('.strip');
    this.taps = 0;
  }

  async tap(locator) {
    this.taps += 1;
    await locator.click();
  }

  key(name, within = this.page) {
    return within.getByRole('button', { name, exact: true });
  }

  row(name) {
    return this.page.locator('.fact', { has: this.page.locator('h3 button', { hasText: name }) });
  }

  async open(name) {
    const key = this.row(name).locator('h3 button');
    if (await key.getAttribute('aria-expanded') !== 'true') await this.tap(key);
    return this.row(name);
  }

  field(label, within = this.page) {
    return within.getByLabel(label, { exact: false }).and(this.page.locator('input, textarea')).first();
  }

  async type(label, text, within = this.page) {
    await this.field(label, within).fill(text);
  }

  /** The three facts, as a person gives them. */
  async give({ soil = 'Loam', slope = '8', rate = '38' } = {}) {
    await this.open('Soil');
    await this.tap(this.key(soil, this.page.locator('.grid-keys')));
    await this.open('Slope');
    await this.type('Slope', slope, this.row('Slope'));
    await this.open('Precipitation rate');
    await this.type('Precipitation rate', rate, this.row('Precipitation rate'));
  }

  /** Longest run, soak, week, as shown. */
  async answer() {
    await this.page.locator('.answer dd').nth(2).waitFor();
    const texts = await this.page.locator('.answer dd').allInnerTexts();
    return texts.map((text) => text.replace(/\s+/g, ' ').trim());
  }

  async said() {
    return (await this.page.locator('.say').innerText()).replace(/\s+/g, ' ').trim();
  }

  saved() {
    return this.page.evaluate(() => JSON.parse(localStorage.getItem('drycurb.page').split('\n').slice(1).join('\n')));
  }
}
