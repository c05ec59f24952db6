// What is rare in the field and happens all the same: long names, pasted line ends, undo after a detour, copies with
// photos, many changed in other units, a site whose units are not the phone's.
import { example, given, hold } from './example.mjs';
import { axe, cutNarrow, expect, test } from './page.mjs';

const LONG = 'W'.repeat(200);
const WORDS = 'Behind the long wall '.repeat(10).slice(0, 200);

const toSite = (page) => page.locator('.places button').nth(1).click();
const part = (page, at) => page.locator('.site .list > .choices button').nth(at).click();
const rows = (page) => page.locator('.lines li');
const station = (page, at) => rows(page).nth(at).getByRole('button').click();
const back = (page) => page.locator('.bar [data-do=back]').click();

test('a name of 200 characters is cut in lists, whole where it is open, and nothing overflows', async ({ pocket }) => {
  test.setTimeout(180_000);
  const { page } = pocket;
  const document = example();
  document.sites[0].name = LONG;
  document.kept[0].name = LONG;
  document.kept[1].name = WORDS;
  document.sites.push({ ...document.sites[0], id: 2, name: WORDS });
  document.deleted.push({ ...document.kept[1], id: 9, name: LONG });
  await hold(page, document);
  const over = [];
  const look = async (state, within = '.site') => {
    over.push(...(await cutNarrow(page, within)).map((what) => `${state}: ${what}`));
  };
  await toSite(page);
  await look('stations');
  await page.setViewportSize({ width: 320, height: 740 });
  // Three lines at most, and the rest is there to be opened and heard.
  const [height, line] = await page.locator('.line b').first().evaluate((node) => {
    const { lineHeight } = getComputedStyle(node);
    return [node.getBoundingClientRect().height, Number.parseFloat(lineHeight)];
  });
  expect(height).toBeGreaterThan(line);
  expect(height).toBeLessThan(line * 3.2);
  await expect(rows(page).first().getByRole('button')).toHaveAccessibleName(new RegExp(`^1 · ${LONG}`));
  await page.locator('[data-do=pick]').click();
  await look('picking');
  await page.locator('[data-do=pick]').click();
  await page.locator('[data-do=order]').click();
  await look('ordering');
  await page.locator('[data-do=order]').click();
  await station(page, 0);
  await expect(page.locator('.beside h2')).toHaveText(LONG);
  for (const summary of await page.locator('.beside summary').all()) await summary.click();
  await page.locator('[data-do=apart-list]').click();
  await page.locator('[data-in=apart]').selectOption('2');
  await look('station');
  expect(await axe(page, '.site')).toEqual([]);
  await back(page);
  await part(page, 2);
  await look('walk');
  await page.locator('.site .list .main').click();
  await look('seen');
  await back(page);
  await part(page, 3);
  await page.locator('[data-do=copy]').click();
  await look('sites');
  await page.locator('[data-do=site-delete]').click();
  await look('undo of a site');
  for (const [at, within] of [[0, 'body'], [2, '.night'], [3, '.year'], [4, '.papers']]) {
    await page.locator('.places button').nth(at).click();
    await page.waitForLoadState('networkidle');
    await look(`place ${at}`, within);
  }
  await page.locator('.papers .row', { hasText: 'Card' }).click();
  await look('card', '.papers');
  await page.locator('.places button').nth(2).click();
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.programs h4').first().waitFor({ timeout: 40_000 });
  await look('planned', '.night');
  expect(over).toEqual([]);
});

test('line ends in a name, pasted or read, are none when it is shown, kept and handed on', async ({ pocket }) => {
  const { page } = pocket;
  await toSite(page);
  await page.locator('.site [data-do=add]').click();
  const name = page.locator('[data-in=station-name]');
  await name.fill('');
  await name.evaluate((node) => {
    node.focus();
    const pasted = new DataTransfer();
    pasted.setData('text/plain', 'Bank\r\nnorth');
    node.dispatchEvent(new ClipboardEvent('paste', { clipboardData: pasted, bubbles: true }));
    document.execCommand('insertText', false, 'Bank\r\nnorth');
  });
  await expect.poll(async () => (await pocket.saved()).kept[0].name).toMatch(/^Bank ?north$/);
  // A file may hold them all the same.
  const document = example();
  document.sites[0].name = 'Marrow\nCourt\r\n{invented}';
  document.kept[0].name = 'front\nbank';
  await hold(page, document);
  await toSite(page);
  await expect(page.locator('.site h2')).toHaveText('Marrow Court {invented}');
  await station(page, 0);
  // To look at a name is not to change it, nor is it lost by a change of something else.
  await page.locator('.beside input[data-of$=" slope"]').fill('5');
  await expect.poll(async () => (await pocket.saved()).kept[0].draft.numbers.slope.text).toBe('5');
  await expect(page.locator('.beside h2')).toHaveText('front bank');
  await page.locator('.places button').nth(4).click();
  await page.locator('.papers .row', { hasText: 'Copies' }).click();
  const file = await given(page, () => page.locator('[data-do=save_all]').click());
  // One line for people, then the document.
  const [first, second, ...rest] = file.text.trimEnd().split('\n');
  expect(first).not.toContain('{');
  expect(JSON.parse(second).kept.map(({ name }) => name)).toContain('front\nbank');
  expect(rest).toEqual([]);
});

test('undo is still there after another place, another part, and a reload', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await toSite(page);
  const elsewhere = async () => {
    for (const place of [2, 0, 3, 4]) await page.locator('.places button').nth(place).click();
    await toSite(page);
  };
  const names = async () => (await pocket.saved()).kept.map(({ name }) => name);
  const all = await names();
  // One station.
  await station(page, 1);
  await pocket.tap(pocket.key('Delete oval'));
  await elsewhere();
  await part(page, 2);
  await part(page, 0);
  await pocket.tap(pocket.key('Undo: put oval back'));
  await expect.poll(names).toEqual(all);
  // Several.
  await pocket.tap(pocket.key('Pick several'));
  for (const name of ['front bank', 'court shrubs']) await page.getByLabel(name).check();
  await pocket.tap(pocket.key('Delete 2'));
  await elsewhere();
  await part(page, 2);
  await part(page, 0);
  await pocket.tap(pocket.key('Undo: put 2 stations back'));
  await expect.poll(names).toEqual(all);
  // Several changed together.
  await pocket.tap(pocket.key('Pick several'));
  for (const name of ['front bank', 'court shrubs']) await page.getByLabel(name).check();
  await pocket.tap(pocket.key('Change 2 together'));
  await page.locator('.beside input[data-of$=" slope"]').fill('11');
  await elsewhere();
  await pocket.tap(pocket.key('Undo these changes'));
  await expect.poll(async () => (await pocket.saved()).kept.map(({ draft }) => draft.numbers.slope.text)).toEqual(['4', '4', '4', '4']);
  await back(page);
  await pocket.tap(pocket.key('Done'));
  // A site, with a reload between.
  await part(page, 3);
  await pocket.tap(pocket.key('Delete site Marrow Court (invented)'));
  await elsewhere();
  await page.reload();
  await toSite(page);
  await part(page, 3);
  await pocket.tap(pocket.key('Undo: put Marrow Court (invented) back'));
  await expect.poll(names).toEqual(all);
  await expect(page.locator('.site h2')).toHaveText('Marrow Court (invented)');
});

test('a site with photos is copied, and neither lives on the other', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await toSite(page);
  const photo = page.locator('img.photo');
  let taken = 60;
  // Each of another height: no two are the same.
  const take = async () => {
    const was = await photo.count() ? await photo.getAttribute('src') : null;
    taken += 40;
    const buffer = await page.screenshot({ clip: { x: 0, y: 0, width: 100, height: taken } });
    await page.locator('input[type=file]').setInputFiles({ name: 'box.png', mimeType: 'image/png', buffer });
    await expect(photo).toHaveAttribute('src', /^data:image\/jpeg/);
    await expect(photo).not.toHaveAttribute('src', was ?? '');
    return photo.getAttribute('src');
  };
  const openAt = async (site, at) => {
    await part(page, 3);
    await page.locator('.lines [data-do=open]', { hasText: site }).last().click();
    await station(page, at);
    await page.locator('summary', { hasText: 'Note and photo' }).click();
  };
  await station(page, 0);
  await page.locator('summary', { hasText: 'Note and photo' }).click();
  const first = await take();
  await back(page);
  await station(page, 1);
  await page.locator('summary', { hasText: 'Note and photo' }).click();
  const second = await take();
  await back(page);
  await part(page, 3);
  await pocket.tap(pocket.key('Copy Marrow Court (invented)'));
  // A photo shows one ground: the copy has none, and takes its own.
  await openAt('copy', 0);
  await expect(photo).toHaveCount(0);
  await page.locator('.beside input[data-of$=" slope"]').fill('17');
  await back(page);
  await openAt('copy', 1);
  const third = await take();
  expect([first, second]).not.toContain(third);
  await back(page);
  await page.reload();
  await toSite(page);
  // Photos that nothing names any more go when the page starts; the first site's stay.
  await openAt('(invented)', 0);
  await expect(page.locator('.site .list h2')).toHaveText('Marrow Court (invented)');
  await expect(photo).toHaveAttribute('src', first);
  await expect(page.locator('.beside input[data-of$=" slope"]')).toHaveValue('4');
  await back(page);
  await openAt('(invented)', 1);
  await expect(photo).toHaveAttribute('src', second);
  // The first site goes for good; the copy keeps what it has.
  await back(page);
  await part(page, 3);
  await pocket.tap(pocket.key('Delete site Marrow Court (invented)'));
  await page.reload();
  await toSite(page);
  await openAt('copy', 1);
  await expect(photo).toHaveAttribute('src', third);
});

test('one number is changed for many in US units: kept as typed, and one answer for all', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await page.getByRole('button', { name: /^Units/ }).click();
  await toSite(page);
  await pocket.tap(pocket.key('Pick several'));
  await pocket.tap(pocket.key('Pick all'));
  await pocket.tap(pocket.key('Change 4 together'));
  const rate = page.locator('.beside input[data-of$=" rate"]');
  await expect(rate).toHaveValue('');
  await expect(rate).toHaveAttribute('placeholder', 'they differ');
  await rate.fill('1.5');
  const typed = async () => (await pocket.saved()).kept.map(({ draft }) => draft.numbers.rate);
  await expect.poll(typed).toEqual(Array(4).fill({ text: '1.5', units: 'us' }));
  // 1.5 in/h are 38.1 mm/h, by the inch of 25.4 mm.
  await expect(page.locator('.beside .number-field', { has: page.locator('[data-of$=" rate"]') }).locator('.note')).toHaveText('read as 1.5\u00a0in/h · 38.1\u00a0mm/h');
  const flow = page.locator('.beside input[data-of$=" rate_flow"]');
  await expect(flow).toHaveAttribute('placeholder', 'they differ');
  // What is out of range is told in the units that are shown, and the others keep what is typed, too.
  await rate.fill('40');
  await expect(page.locator('.beside .number-field', { has: page.locator('[data-of$=" rate"]') }).locator('.note')).toContainText('in/h');
  await rate.fill('1.5');
  await page.getByRole('button', { name: /^Units/ }).click();
  await expect(rate).toHaveValue('38.1');
  expect(await typed()).toEqual(Array(4).fill({ text: '1.5', units: 'us' }));
  await pocket.tap(pocket.key('Undo these changes'));
  await expect.poll(typed).toEqual(['38', '15', '12', '20'].map((text) => ({ text, units: 'si' })));
});

test('a site of other units than the phone shows its own and leaves the phone its own', async ({ pocket }) => {
  const { page } = pocket;
  const document = example();
  document.sites.push({ ...document.sites[0], id: 2, name: 'Sorrel Yard (invented)', units: 'us' });
  document.kept.push({ ...document.kept[0], id: 9, site: 2 });
  await hold(page, document);
  await toSite(page);
  const sign = page.locator('.beside .number-field', { has: page.locator('[data-of$=" rate"]') }).locator('.unit');
  const openSite = async (name) => {
    await part(page, 3);
    await page.locator('.lines [data-do=open]', { hasText: name }).click();
    await expect(page.locator('.site .list h2')).toContainText(name);
    await station(page, 0);
  };
  await openSite('Sorrel');
  await expect(sign).toHaveText('in/h');
  await expect(page.locator('.beside input[data-of$=" rate"]')).toHaveValue('1.496');
  await back(page);
  await openSite('Marrow');
  await expect(sign).toHaveText('mm/h');
  await back(page);
  // What has none of its own goes with the phone, what has goes its own way.
  await page.getByRole('button', { name: /^Units/ }).click();
  await station(page, 0);
  await expect(sign).toHaveText('in/h');
  await back(page);
  await openSite('Sorrel');
  await page.getByRole('button', { name: /^Units/ }).click();
  await expect(sign).toHaveText('mm/h');
  await back(page);
  await page.reload();
  await toSite(page);
  await station(page, 0);
  await expect(sign).toHaveText('mm/h');
  await back(page);
  await openSite('Marrow');
  await expect(sign).toHaveText('in/h');
  const { prefs, sites } = await pocket.saved();
  expect([prefs.units, ...sites.map(({ units }) => units ?? null)]).toEqual(['us', null, 'si']);
});

test('two stations of one name are remarked on', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await toSite(page);
  await rows(page).nth(1).getByRole('button').click();
  const said = page.locator('.beside').getByText('Another station here has this name.');
  await expect(said).toHaveCount(0);
  await page.getByLabel('Name of the station').fill('front bank ');
  await expect(said).toBeVisible();
  await expect(page.getByLabel('Name of the station')).toBeFocused();
  await page.getByLabel('Name of the station').fill('front bank 2');
  await expect(said).toHaveCount(0);
});
