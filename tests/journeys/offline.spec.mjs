// No signal: the second visit needs no network, a killed tab loses nothing, a new version never interrupts.
import { chromium, test as plain } from '@playwright/test';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

import { serve } from '../tools/serve.mjs';
import config from '../playwright.config.mjs';
import { DIST, Pocket, expect, guard } from './page.mjs';

const open = (profile) => chromium.launchPersistentContext(profile, {
  ...config.use.launchOptions, viewport: config.use.viewport, hasTouch: true, isMobile: true, locale: 'en-US',
});
const ready = (page) => page.waitForFunction(() => Boolean(document.documentElement.dataset.offline));

plain('offline: closed, server stopped, opened again, all is there', async () => {
  const profile = mkdtempSync(join(tmpdir(), 'drycurb-'));
  const server = await serve(DIST);
  const faults = [];
  let context = await open(profile);
  guard(context, server.address, faults);
  let page = await context.newPage();
  await page.goto(server.address);
  let pocket = new Pocket(page);
  await pocket.give({ slope: '8,5' });
  const answer = await pocket.answer();
  await pocket.type('Name of the station', 'Oval');
  await pocket.tap(pocket.key('Keep this station'));
  await ready(page);
  // What plans the night comes after the page, by itself.
  await page.waitForFunction(() => document.documentElement.dataset.offline === 'all');
  await page.waitForFunction(() => Number(document.documentElement.dataset.saved) > 0);
  await page.waitForTimeout(600);
  await context.close();
  await server.stop();

  context = await open(profile);
  guard(context, server.address, faults);
  page = await context.newPage();
  const client = await context.newCDPSession(page);
  await client.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  const times = [];
  for (let visit = 0; visit < 3; visit += 1) {
    await page.goto('about:blank');
    const from = Date.now();
    await page.goto(server.address, { waitUntil: 'commit' });
    await page.locator('.answer dd').first().waitFor();
    times.push(Date.now() - from);
  }
  pocket = new Pocket(page);
  expect(await pocket.answer()).toEqual(answer);
  await expect(page.locator('.kept li')).toContainText('Oval');
  await pocket.open('Slope');
  await expect(pocket.field('Slope', pocket.row('Slope'))).toHaveValue('8,5');
  await pocket.type('Slope', '20', pocket.row('Slope'));
  expect(await pocket.answer()).not.toEqual(answer);
  await page.reload();
  await expect(pocket.row('Slope').locator('.value')).toHaveText('20 %');
  const planned = await page.evaluate(() => new Promise((answered) => {
    window.drycurb.ask({ ask: 'cycle', soil: 'loam', slope_percent: 8, precipitation_mm_per_h: 38 }, answered);
  }));
  expect(planned.ok.runs_per_day).toBeGreaterThan(0);
  const over = Math.min(...times) < 1200 ? '' : ', OVER';
  console.log(`offline: cold start at 4x CPU throttle, server stopped: ${times.join(', ')} ms (bar 1200${over})`);
  expect(faults).toEqual([]);
  await context.close();
  rmSync(profile, { recursive: true, force: true });
});

plain('killed: what was typed a second before is there', async () => {
  const profile = mkdtempSync(join(tmpdir(), 'drycurb-'));
  const server = await serve(DIST);
  for (let round = 0; round < 3; round += 1) {
    let context = await open(profile);
    let page = await context.newPage();
    await page.goto(server.address);
    const pocket = new Pocket(page);
    await pocket.open('Slope');
    await pocket.type('Slope', `1${round}`, pocket.row('Slope'));
    await page.waitForTimeout(1000);
    const browser = await (await context.newCDPSession(page)).send('Browser.getVersion').catch(() => null);
    expect(browser).not.toBeNull();
    await Promise.race([
      context.newPage().then((tab) => tab.goto('chrome://inducebrowsercrashforrealz')).catch(() => {}),
      page.waitForTimeout(3000),
    ]);
    await context.close().catch(() => {});
    context = await open(profile);
    page = await context.newPage();
    await page.goto(server.address);
    await expect(new Pocket(page).row('Slope').locator('.value')).toHaveText(`1${round} %`);
    await context.close();
  }
  await server.stop();
  rmSync(profile, { recursive: true, force: true });
});

plain('update: a new version waits, says so, and is used when asked; nothing typed is lost', async () => {
  const profile = mkdtempSync(join(tmpdir(), 'drycurb-'));
  const folder = mkdtempSync(join(tmpdir(), 'drycurb-dist-'));
  cpSync(DIST, folder, { recursive: true });
  const server = await serve(folder);
  const context = await open(profile);
  const page = await context.newPage();
  await page.goto(server.address);
  await ready(page);
  await page.reload();
  const pocket = new Pocket(page);
  await pocket.give();
  const answer = await pocket.answer();
  const worker = readFileSync(join(folder, 'sw.js'), 'utf8');
  writeFileSync(join(folder, 'sw.js'), worker.replace(/VERSION = '([^']*)'/, "VERSION = '$1-next'"));
  await page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update());
  await expect(page.locator('.notices')).toContainText('A new version is ready.');
  await pocket.type('Precipitation rate', '39', pocket.row('Precipitation rate'));
  await page.waitForTimeout(1500);
  await expect(pocket.field('Precipitation rate', pocket.row('Precipitation rate'))).toHaveValue('39');
  await Promise.all([page.waitForEvent('load'), pocket.tap(pocket.key('Use it now'))]);
  await expect.poll(() => page.evaluate(async () => (await caches.keys()).join())).toMatch(/-next$/);
  await expect(pocket.row('Precipitation rate').locator('.value')).toHaveText('39 mm/h');
  expect(answer.length).toBe(3);
  await context.close();
  await server.stop();
  rmSync(profile, { recursive: true, force: true });
  rmSync(folder, { recursive: true, force: true });
});

plain('redirect: a host that names the page otherwise does not break the second visit', async () => {
  const profile = mkdtempSync(join(tmpdir(), 'drycurb-'));
  const server = await serve(DIST, 0, '127.0.0.1', { '/index.html': '/' });
  const context = await open(profile);
  const page = await context.newPage();
  await page.goto(server.address);
  await ready(page);
  await page.goto(server.address);
  await page.getByRole('heading', { name: 'Drycurb' }).waitFor();
  await context.close();
  await server.stop();
  rmSync(profile, { recursive: true, force: true });
});

plain('two windows: what one keeps the other does not write over', async () => {
  const profile = mkdtempSync(join(tmpdir(), 'drycurb-'));
  const server = await serve(DIST);
  const context = await open(profile);
  const [first, second] = [await context.newPage(), await context.newPage()];
  for (const page of [first, second]) {
    await page.goto(server.address);
    await page.getByRole('heading', { name: 'Drycurb' }).waitFor();
  }
  const pocket = new Pocket(first);
  await pocket.give();
  await pocket.type('Name of the station', 'Oval');
  await pocket.tap(pocket.key('Keep this station'));
  const other = new Pocket(second);
  await expect(second.locator('.kept li')).toContainText('Oval');
  await other.open('Slope');
  await other.type('Slope', '12', other.row('Slope'));
  await expect(pocket.row('Slope').locator('.value')).toHaveText('12 %');
  expect((await pocket.saved()).kept.map((kept) => kept.name)).toEqual(['Oval']);
  await first.waitForTimeout(500);
  const before = await first.evaluate(() => localStorage.getItem('drycurb.page'));
  await first.waitForTimeout(500);
  expect(await first.evaluate(() => localStorage.getItem('drycurb.page'))).toBe(before);
  await context.close();
  await server.stop();
  rmSync(profile, { recursive: true, force: true });
});

plain('planner: a first visit loads no planner, and where it cannot come nobody waits for it', async () => {
  const profile = mkdtempSync(join(tmpdir(), 'drycurb-'));
  const server = await serve(DIST);
  const context = await open(profile);
  const asked = [];
  context.on('request', (request) => asked.push(request.url()));
  await context.route(/planner/, (route) => route.abort());
  const page = await context.newPage();
  await page.goto(server.address);
  await ready(page);
  expect(asked.filter((url) => url.includes('planner'))).toEqual([]);
  const answer = await page.evaluate(() => new Promise((answered) => {
    window.drycurb.ask({ ask: 'cycle' }, (given) => answered(given ?? 'nothing'));
  }));
  expect(answer).toBe('nothing');
  await context.close();
  await server.stop();
  rmSync(profile, { recursive: true });
});
