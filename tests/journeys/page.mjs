// The page as the journeys handle it: a server of its own, a guard on every request and error, and the Pocket's parts
// by their names.
import AxeBuilder from '@axe-core/playwright';
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

/** What axe finds, a line a breach; with `within`, only in that part of the page. */
export const axe = async (page, within) => {
  const builder = new AxeBuilder({ page })
    .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
    .options({ rules: { 'target-size': { enabled: true }, 'color-contrast-enhanced': { enabled: true } } });
  const { violations } = await (within ? builder.include(within) : builder).analyze();
  return violations.map(({ id, nodes }) => `${id}: ${nodes[0].html}`);
};

/** Shows the page in a language, `en` or `es`. */
export const speak = (page, code) => page.evaluate((wanted) => {
  [...document.querySelectorAll('.top button')].find((button) => button.lang === wanted)?.click();
}, code);

/**
 * What is cut or wider than the page, a line each, among the elements of `within`. What scrolls by itself may be wider.
 * The page's width is that of its root: a phone zooms out to what is too wide, and its inner width grows with it.
 */
export const cut = (page, within, spared = 'svg, .wide > *') => page.evaluate(([part, free]) => {
  const most = document.documentElement.clientWidth;
  const tags = ['B', 'BUTTON', 'DD', 'DT', 'H2', 'H3', 'H4', 'LABEL', 'LEGEND', 'LI', 'P', 'SPAN', 'SUMMARY', 'TD', 'TH'];
  const found = [...document.querySelectorAll(`${part} *`)].filter((node) => {
    if (!node.getClientRects().length || node.closest(`.unseen, option, ${free}`)) return false;
    const { left, right } = node.getBoundingClientRect();
    return left < -1 || right > most + 1
      || (tags.includes(node.tagName) && getComputedStyle(node).display !== 'inline' && node.scrollWidth > node.clientWidth + 2);
  });
  const wide = document.documentElement.scrollWidth > most ? ['the page scrolls sideways'] : [];
  return [...wide, ...found.map((node) => `${node.tagName}.${node.className} ${node.textContent.slice(0, 40)}`)];
}, [within, spared]);

/** The same at 360 and 320 px, with ordinary text and with twice its size. */
export const cutNarrow = async (page, within, spared = 'svg, .wide > *') => {
  const found = [];
  for (const [width, size] of [[320, '212.5%'], [360, '212.5%'], [320, ''], [360, '']]) {
    await page.setViewportSize({ width, height: 740 });
    await page.evaluate((wanted) => { document.documentElement.style.fontSize = wanted; }, size);
    found.push(...(await cut(page, within, spared)).map((what) => `${width} ${size}: ${what}`));
  }
  return found;
};

/**
 * Types `rounds` numbers into an input, `rest` ms apart, and prints the time from each to its painting beside the bar.
 * What a test may rely on is counted: the characters of markup drawn and the changes made to the page by the middle one
 * of the keys before it was painted. (A frame that comes late sees what belongs to a hand at rest.) A machine's speed is
 * not the page's.
 */
export const keystrokes = async (input, what, { rounds = 20, rest = 60, first = 20, bar = 50 } = {}) => {
  const { times, drawn, changes } = await input.evaluate(async (node, given) => {
    const [times, drawn, changes] = [[], [], []];
    const { drycurb } = window;
    const { morph } = drycurb;
    let size = 0;
    drycurb.morph = (place, html) => {
      size += html.length;
      morph(place, html);
    };
    let made = 0;
    const watch = new MutationObserver((records) => { made += records.length; });
    watch.observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true });
    for (let round = 0; round < given.rounds; round += 1) {
      await new Promise((rested) => { setTimeout(rested, given.rest); });
      watch.takeRecords();
      [made, size] = [0, 0];
      const from = performance.now();
      node.value = `${given.first + round}`;
      node.dispatchEvent(new Event('input', { bubbles: true }));
      await new Promise((painted) => {
        requestAnimationFrame(() => {
          changes.push(made + watch.takeRecords().length);
          drawn.push(size);
          const channel = new MessageChannel();
          channel.port1.onmessage = painted;
          channel.port2.postMessage(0);
        });
      });
      times.push(performance.now() - from);
    }
    watch.disconnect();
    drycurb.morph = morph;
    const ascending = (list) => list.sort((a, b) => a - b);
    const middle = (list) => ascending(list)[given.rounds >> 1];
    return { times: ascending(times), drawn: middle(drawn), changes: middle(changes) };
  }, { rounds, rest, first });
  const median = times[rounds >> 1];
  console.log(`speed: ${what}: keystroke to painted: median ${median.toFixed(0)} ms, most ${times.at(-1).toFixed(0)} ms `
    + `(bar ${bar}${median < bar ? '' : ', OVER'}); drawn ${drawn} characters, ${changes} changes`);
  return { drawn, changes };
};

export const test = base.extend({
  // eslint-disable-next-line no-empty-pattern
  server: [async ({}, use) => {
    const server = await serve(DIST);
    await use(server);
    await server.stop();
  }, { scope: 'worker' }],
  guarded: [true, { option: true }],
  // A page that is on its way back in its own history breaks off a reload that is asked for in the same moment.
  page: async ({ page }, use) => {
    const reload = page.reload.bind(page);
    page.reload = (options) => reload(options).catch((why) => {
      if (!`${why}`.includes('ERR_ABORTED')) throw why;
      return reload(options);
    });
    await use(page);
  },
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
