// What holds for the whole page: access, layout, speed, rescue, and the same bits as the native program.
import { mkdirSync } from 'node:fs';

import { ROOT, axe, cut, expect, keystrokes, lines, speak, test } from './page.mjs';

const PICTURES = `${ROOT}/tests/results/pictures`;
mkdirSync(PICTURES, { recursive: true });
const THEMES = ['light', 'dark', 'sun'];

const setTheme = (page, theme) => page.evaluate((name) => window.drycurb.theme(name), theme);

/** Opens one row after another and calls back in every state. */
const states = async (pocket, visit) => {
  await visit('blank');
  await pocket.give({ soil: 'Clay loam', slope: '8', rate: '38' });
  await visit('rate');
  await pocket.tap(pocket.page.locator('.ways, .body').getByRole('button').nth(-1));
  await visit('cans');
  await pocket.page.locator('.fact h3 button').nth(0).click();
  await visit('soil');
  await pocket.page.locator('.fact h3 button').nth(1).click();
  await visit('slope');
  await pocket.page.locator('.assumption').nth(1).click();
  await visit('water');
  await pocket.page.locator('.assumption').nth(0).click();
  await visit('plants');
  await pocket.page.locator('.keep .main').last().click();
  await pocket.page.locator('.why-key').click();
  await visit('why');
};

for (const [language, code] of [['English', 'en'], ['Spanish', 'es']]) {
  test(`axe finds nothing in ${language}, in every theme and state`, async ({ pocket }) => {
    test.setTimeout(240_000);
    const { page } = pocket;
    const found = [];
    await states(pocket, async (state) => {
      await speak(page, code);
      for (const theme of THEMES) {
        await setTheme(page, theme);
        found.push(...(await axe(page)).map((breach) => `${state} ${theme}: ${breach}`));
        if (state !== 'blank' || theme === 'light') {
          await page.screenshot({ path: `${PICTURES}/pocket-${code}-${theme}-${state}-360.png` });
        }
      }
      await speak(page, 'en');
    });
    expect(found).toEqual([]);
  });
}

test('wide screens stand facts and reasons side by side', async ({ pocket }) => {
  const { page } = pocket;
  await page.setViewportSize({ width: 1280, height: 800 });
  await pocket.give({ soil: 'Clay loam' });
  await expect(page.locator('.why svg')).toBeVisible();
  for (const theme of THEMES) {
    await setTheme(page, theme);
    await page.screenshot({ path: `${PICTURES}/pocket-en-${theme}-wide.png` });
  }
  await pocket.tap(pocket.key('Español'));
  await page.screenshot({ path: `${PICTURES}/pocket-es-sun-wide.png` });
});

for (const [name, width, text] of [['320 px', 320, '100%'], ['200 % text', 360, '200%'], ['320 px and 200 % text', 320, '200%']]) {
  test(`nothing is cut or overflows at ${name}, in both languages`, async ({ pocket }) => {
    const { page } = pocket;
    await page.setViewportSize({ width, height: 740 });
    await page.evaluate((size) => { document.documentElement.style.fontSize = size === '100%' ? '' : '212.5%'; }, text);
    for (const code of ['en', 'es']) {
      await speak(page, code);
      const over = [];
      const look = async (state) => {
        over.push(...(await cut(page, 'body')).map((what) => `${state}: ${what}`));
      };
      await look('blank');
      for (const at of [0, 1, 2]) {
        await page.locator('.fact h3 button').nth(at).click();
        await look(`row ${at}`);
      }
      for (const at of [0, 1, 2, 3, 4, 5, 6]) {
        await page.locator('.assumption').nth(at).click();
        await look(`assumption ${at}`);
      }
      expect(over).toEqual([]);
    }
  });
}

test('the answer stays in view with the keyboard up', async ({ pocket }) => {
  const { page } = pocket;
  await pocket.give();
  await page.setViewportSize({ width: 360, height: 350 });
  await pocket.field('Precipitation rate', pocket.row('Precipitation rate')).focus();
  const box = await page.locator('.answer dl').boundingBox();
  expect(box.y).toBeGreaterThanOrEqual(0);
  expect(box.y + box.height).toBeLessThan(175);
  const field = await pocket.field('Precipitation rate', pocket.row('Precipitation rate')).boundingBox();
  expect(field.y).toBeGreaterThan(box.y + box.height);
  await page.screenshot({ path: `${PICTURES}/pocket-en-keyboard-up.png` });
});

test('the browser finds nothing against installing the page', async ({ pocket, context }) => {
  await pocket.page.waitForFunction(() => Boolean(document.documentElement.dataset.offline));
  const client = await context.newCDPSession(pocket.page);
  const { installabilityErrors } = await client.send('Page.getInstallabilityErrors');
  expect(installabilityErrors.filter(({ errorId }) => errorId !== 'in-incognito')).toEqual([]);
});

test('targets are large enough for a wet thumb', async ({ pocket }) => {
  await pocket.give();
  const small = await pocket.page.evaluate(() => [...document.querySelectorAll('button, input, select, summary')]
    .filter((node) => node.getClientRects().length)
    .map((node) => ({ name: node.textContent || node.id, box: node.getBoundingClientRect() }))
    .filter(({ box }) => box.height < 47.5 || box.width < 47.5)
    .map(({ name, box }) => `${name}: ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`));
  expect(small).toEqual([]);
});

test('a keystroke draws little and changes less', { tag: '@alone' }, async ({ pocket, context }) => {
  const { page } = pocket;
  await pocket.give({ soil: 'Clay', slope: '8', rate: '38' });
  const client = await context.newCDPSession(page);
  await client.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  const field = pocket.field('Precipitation rate', pocket.row('Precipitation rate'));
  const { drawn, changes } = await keystrokes(field, 'Pocket at 4x throttle');
  expect(changes).toBeGreaterThan(0);
  expect(drawn).toBeLessThan(18000);
  expect(changes).toBeLessThan(40);
});

test('worker and native program give the same bits', async ({ pocket }) => {
  const requests = [];
  let state = 12345;
  const pick = (list) => {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    return list[(state >>> 8) % list.length];
  };
  const soils = ['sand', 'loamy_sand', 'sandy_loam', 'loam', 'silt_loam', 'silt', 'sandy_clay_loam', 'clay_loam',
    'silty_clay_loam', 'sandy_clay', 'silty_clay', 'clay'];
  for (let n = 0; n < 200; n += 1) {
    requests.push({ ask: 'cycle', soil: pick(soils), slope_percent: pick([0, 2.5, 6, 8.3, 15, 40]),
      precipitation_mm_per_h: pick([4, 9.7, 15, 22.2, 38.1, 55]), condition: pick(['loose', 'settled', 'compacted']),
      week_need_mm: pick([0, 3.3, 17.1, 24.1, 40]), days: pick([1, 2, 3, 5, 7]),
      low_quarter_uniformity: pick([0.5, 0.65, 0.812]), measured_intake_mm_per_h: pick([null, null, 7.7]) });
  }
  const inWorker = await pocket.page.evaluate((list) => Promise.all(list.map((request) => new Promise((answered) => {
    window.drycurb.ask(request, answered);
  }))), requests);
  expect(inWorker).toEqual(lines(requests));
  expect(inWorker.every((answer) => answer.ok)).toBe(true);
});

test.describe('when the page cannot go on', () => {
  test.use({ guarded: false });

  test('a static page shows the data to copy', async ({ pocket }) => {
    const { page } = pocket;
    await pocket.give();
    await page.evaluate(() => window.drycurb.rescue('tried out'));
    await expect(page.getByRole('heading', { name: 'The page stopped. Your data is here.' })).toBeVisible();
    await expect(page.locator('#rescue-data')).toHaveValue(/"loam/);
    await expect(page.locator('#rescue-why')).toHaveText('tried out');
    await page.getByRole('button', { name: /Start again/ }).click();
    await expect(pocket.row('Soil').locator('.value')).toHaveText('Loam');
  });

  test('a broken module is told, not a blank page', async ({ page, server }) => {
    await page.route(/_bg\.wasm$/, (route) => route.fulfill({ status: 200, contentType: 'application/wasm', body: 'x' }));
    await page.goto(server.address);
    await expect(page.getByRole('heading', { name: 'The page stopped. Your data is here.' })).toBeVisible();
  });

  for (const [what, answer] of [['is not the table', { status: 200, body: 'no table' }], ['is not there', { status: 404 }]]) {
    test(`a file of climates that ${what} is told, with the data`, async ({ page, server }) => {
      await page.addInitScript(() => localStorage.setItem('drycurb.page', '99999\n{"version":2,"x":"mine"}'));
      await page.route(/climate-\w+\.bin$/, (route) => route.fulfill(answer));
      await page.goto(server.address);
      await expect(page.getByRole('heading', { name: 'The page stopped. Your data is here.' })).toBeVisible();
      await expect(page.locator('#rescue-why')).toContainText('climate');
      await expect(page.locator('#rescue-data')).toHaveValue(/mine/);
    });
  }

  test('a stored text that cannot be read is set aside, unchanged, and shown', async ({ page, server }) => {
    await page.addInitScript(() => localStorage.setItem('drycurb.page', '99999\n{"version":99,"x":1}'));
    await page.goto(server.address);
    await expect(page.locator('.notices')).toContainText('could not be read and was set aside');
    await expect(page.locator('.notices textarea')).toHaveValue('{"version":99,"x":1}');
    expect(await page.evaluate(() => localStorage.getItem('drycurb.set-aside'))).toContain('{"version":99,"x":1}');
  });
});

test('the back key of the phone closes what is open, then leaves', async ({ pocket }) => {
  const { page } = pocket;
  const from = await page.evaluate(() => history.length);
  await pocket.tap(pocket.key('Site'));
  await pocket.tap(pocket.key('Load the invented example'));
  const row = page.locator('.lines li').first();
  await pocket.tap(row.getByRole('button'));
  await expect(page.locator('.beside .number-field').first()).toBeVisible();
  await expect.poll(() => page.evaluate(() => history.state?.inside)).toBe(2);
  await page.goBack();
  await expect(page.locator('.beside .number-field')).toHaveCount(0);
  await expect(row).toBeVisible();
  // What a key of the page closes leaves no step behind.
  await pocket.tap(row.getByRole('button'));
  await expect.poll(() => page.evaluate(() => history.state?.inside)).toBe(2);
  await pocket.tap(pocket.key('Back'));
  await expect.poll(() => page.evaluate(() => history.state?.inside)).toBe(1);
  await pocket.tap(pocket.key('Papers'));
  await pocket.tap(page.locator('.papers [data-do="paper"]').first());
  await expect.poll(() => page.evaluate(() => history.state?.inside)).toBe(2);
  await page.goBack();
  await expect(page.locator('.papers .open')).toHaveCount(0);
  await page.goBack();
  await expect(page.locator('.pocket')).toBeVisible();
  expect(await page.evaluate(() => history.state?.inside ?? 0)).toBe(0);
  // Reloaded deep inside, it still knows the way.
  await pocket.tap(pocket.key('Night'));
  await expect.poll(() => page.evaluate(() => history.state?.inside)).toBe(1);
  await page.reload();
  await expect(page.locator('.night')).toBeVisible();
  await page.goBack();
  await expect(page.locator('.pocket')).toBeVisible();
  expect(await page.evaluate(() => history.length)).toBeLessThan(from + 4);
  await page.goBack();
  expect(page.url()).toBe('about:blank');
});
