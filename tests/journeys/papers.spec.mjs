// The Papers: a walk becomes a printed quote, a card opens anywhere, a phone moves to another by file and by codes.
import { chromium } from '@playwright/test';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { extractText, getDocumentProxy } from 'unpdf';

import { encode, example, given, hold, yearAsked } from './example.mjs';
import { axe, cutNarrow, expect, lines, test } from './page.mjs';

const open = async (pocket, paper) => {
  await pocket.tap(pocket.key('Papers'));
  await pocket.tap(pocket.page.locator('.papers .row', { hasText: paper }));
};

/** The printed pages' texts. */
const printed = async (page, format) => {
  const pdf = await page.pdf({ format });
  const { text } = await extractText(await getDocumentProxy(new Uint8Array(pdf)), { mergePages: false });
  return text.map((one) => one.replace(/\s+/g, ' '));
};

const priced = () => ({
  ...example(),
  own: { hour: '60', trip: '45.00', trip_minutes: '30', markup: '20', tax: '8.25', who: 'M. Quill, 555 0100' },
  // What, count, price, minutes: heads at 12.00 and 10 minutes, nozzles 2.50 and 5, a lean straightened, a valve 18.75 and 40.
  prices: [['broken_head', '', '12', '10'], ['clogged_nozzle', '', '2.50', '5'], ['leaning_head', '', '', '8'],
    ['valve_leaks', '', '18.75', '40']],
});

test('a walk becomes a printed quote within five taps', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, priced());
  pocket.taps = 0;
  await page.evaluate(() => { window.print = () => { window.printed = true; }; });
  await open(pocket, 'Quote');
  await pocket.tap(pocket.key('Take counts from the walk'));
  await pocket.tap(page.locator('.papers button.main', { hasText: 'Print' }));
  expect(pocket.taps).toBeLessThanOrEqual(5);
  expect(await page.evaluate(() => window.printed)).toBe(true);
  // By hand. Parts with 20 %: 4 heads 57.60, 5 nozzles 15.00, valve 22.50: 95.10. Work at 1.00 a minute: 40 + 25 + 32 + 40 = 137.
  // Tax 8.25 % of 95.10 is 7.84575: 7.85. Trip 45. Together 284.95, in 137 + 30 minutes.
  for (const format of ['A4', 'Letter']) {
    const pages = await printed(page, format);
    expect(pages).toHaveLength(1);
    for (const part of ['Quote 1', 'Marrow Court (invented)', 'M. Quill, 555 0100', 'Broken head 4 $57.60 $40.00 $97.60',
      'Clogged nozzle 5 $15.00 $25.00 $40.00', 'Head leans 4 $0.00 $32.00 $32.00', 'Valve leaks 1 $22.50 $40.00 $62.50',
      'The trip $45.00', 'Tax 8.25 % $7.85', 'Total $284.95', 'Time needed: 2 h 47', 'Assumes']) {
      expect(pages[0]).toContain(part);
    }
    for (const other of ['Back', 'Pocket', 'Take counts', 'Minutes each']) expect(pages[0]).not.toContain(other);
  }
});

test('a quick quote from a handful of counts, and what is not understood', async ({ pocket }) => {
  const { page } = pocket;
  await open(pocket, 'Quote');
  await page.getByLabel('Add').selectOption('Wire or coil');
  await page.getByLabel('Count').fill('2');
  await page.getByLabel('Price each').fill('3,505');
  const summary = page.locator('.papers > .halves .note.wrong:not([id])');
  await expect(summary).toHaveText('Not understood, counted as 0: Wire or coil (Price each).');
  // Each field says what it takes, and is told from the next line's by its group.
  const line = page.getByRole('group', { name: 'Wire or coil' });
  const price = line.getByLabel('Price each');
  await expect(price).toHaveAttribute('aria-invalid', 'true');
  await expect(price).toHaveAccessibleDescription('Money from 0, two decimals at most.');
  await price.fill('3,50');
  await line.getByLabel('Minutes each').fill('1:30');
  await expect(summary).toHaveText('Not understood, counted as 0: Wire or coil (Minutes each).');
  await expect(line.getByLabel('Minutes each')).toHaveAccessibleDescription('Whole minutes from 0.');
  await line.getByLabel('Minutes each').fill('');
  await line.getByLabel('Count').fill('-1');
  await expect(line.getByLabel('Count')).toHaveAccessibleDescription('A number from 0, three decimals at most.');
  await line.getByLabel('Count').fill('2');
  await expect(price).not.toHaveAttribute('aria-invalid');
  await expect(summary).toHaveCount(0);
  await pocket.tap(page.locator('summary', { hasText: 'Terms' }));
  await page.getByLabel('Tax, %').fill('x');
  await expect(page.getByLabel('Tax, %')).toHaveAccessibleDescription('Percent from 0, two decimals at most.');
  await expect(summary).toHaveText('Not understood, counted as 0: Terms and name (Tax, %).');
  await expect(page.locator('.paper tbody')).toContainText('Tax 0 %');
  await page.getByLabel('Tax, %').fill('');
  await expect(page.locator('.paper tfoot')).toContainText('$7.00');
  // The price is the technician's own from now on.
  await pocket.tap(page.getByRole('button', { name: 'Remove Wire or coil' }));
  await page.getByLabel('Add').selectOption('Wire or coil');
  await expect(page.getByLabel('Price each')).toHaveValue('3,50');
  // Where a saving comes from is one tap away.
  await expect(page.locator('.papers .hint').first()).toContainText('compare what is keyed now');
  await pocket.tap(page.locator('.papers [data-do=to_night]'));
  await expect(page.locator('.night')).toBeVisible();
});

test('what a year saves, and when it has paid', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, priced());
  await open(pocket, 'Quote');
  await pocket.tap(pocket.key('Take counts from the walk'));
  await pocket.tap(page.locator('summary', { hasText: 'Terms' }));
  await page.getByLabel('Water used now a year').fill('600');
  await expect(page.locator('.paper b')).toHaveText(
    /^Saves \d+\sm³ a year against 600 m³ used now, \$\d+\.\d\d a year; paid back (in \d+ months|within a month)\.$/);
  await page.getByLabel('Water used now a year').fill('1');
  await expect(page.locator('.paper b')).toHaveCount(0);
});

test('from a finished walk by what is keyed now to a quote with its saving', async ({ pocket }) => {
  const { page } = pocket;
  const document = priced();
  document.sites[0].facts.month = 7;
  await hold(page, document);
  pocket.taps = 0;
  await pocket.tap(pocket.key('Night'));
  await pocket.tap(pocket.key('What is keyed now'));
  await pocket.tap(pocket.key('Add program A'));
  await page.getByLabel('Start times').fill('22:00');
  for (const day of ['Mon', 'Tue', 'Wed', 'Thu', 'Fri']) await page.getByLabel(day, { exact: true }).check();
  for (const minutes of await page.locator('.keying input').all()) await minutes.fill('60');
  await page.evaluate(() => {
    const ask = window.drycurb.ask;
    window.drycurb.ask = (request, hear) => ask(request, (answer, more) => { window.heard = answer; hear(answer, more); });
  });
  await pocket.tap(pocket.key('Find what is wrong'));
  await pocket.tap(pocket.key('To the quote'));
  expect(pocket.taps).toBeLessThanOrEqual(5);
  const said = page.locator('.paper b');
  await expect(said).toHaveText(
    /^Saves \d+\sm³ a year against the programs keyed now, compared on 20\d\d-\d\d-\d\d, \$[\d,]+\.\d\d a year; paid back (in \d+ months|within a month)\.$/);
  // The native program says the same, to the cent.
  const { words } = (await pocket.saved()).sites[0];
  const now = await page.evaluate(() => window.heard.ok.now.week_litres);
  expect(Number(words.compared_now)).toBeCloseTo(now, 6);
  const compared = {
    month: 7, now_litres_per_week: Number(words.compared_now), plan_litres_per_week: Number(words.compared_plan),
  };
  const [{ ok: { saving } }] = lines([yearAsked(lines, { compared })]);
  const [{ ok: quote }] = lines([{
    ask: 'quote', hour_hundredths: 6000, trip_hundredths: 4500, trip_minutes: 30, markup_percent_hundredths: 2000,
    tax_percent_hundredths: 825, saved_millionths_per_year: saving.millionths,
    // As counted on the walk, at the prices above: heads, nozzles, leaning heads, a valve.
    lines: [[4, 1200, 10], [5, 250, 5], [4, 0, 8], [1, 1875, 40]].map(([count, price, minutes]) => (
      { count_thousandths: count * 1000, price_hundredths: price, minutes_each: minutes })),
  }]);
  const money = (hundredths) => `$${(hundredths / 100).toFixed(2).replace(/(\d)(\d{3}\.)/, '$1,$2')}`;
  const paid = quote.months_to_pay > 1 ? `in ${quote.months_to_pay} months` : 'within a month';
  await expect(said).toContainText(`Saves ${Math.round(saving.litres / 1000)}`);
  await expect(said).toContainText(`, ${money(saving.hundredths)} a year; paid back ${paid}.`);
  await expect(page.locator('.paper tfoot')).toContainText(money(quote.total_hundredths));
  await expect(page.locator('.paper .how')).toContainText(`counts as ${saving.weeks_now.toFixed(1)} such weeks a year`);
  for (const format of ['A4', 'Letter']) {
    const [paper] = await printed(page, format);
    expect(paper).toContain((await said.innerText()).replace(/\s+/g, ' '));
    for (const hidden of ['For a year', 'compare again']) expect(paper).not.toContain(hidden);
  }
  // Prices change no litre; other minutes do, and it is said.
  expect(await page.locator('.papers .hint').count()).toBe(0);
  await pocket.tap(pocket.key('Night'));
  await page.locator('.keying input').first().fill('61');
  await pocket.tap(pocket.key('Papers'));
  await expect(page.locator('.papers .hint')).toContainText('compare again');
  await expect(page.locator('.paper .how')).toContainText('compare again');
  // A year's use that is typed wins.
  await pocket.tap(page.locator('summary', { hasText: 'Terms' }));
  await page.getByLabel('Water used now a year').fill('2x');
  await expect(page.locator('.papers .note.wrong:not([id])')).toContainText('Terms and name (Water used now a year, m³)');
  await page.getByLabel('Water used now a year').fill('2000');
  await expect(said).toContainText('against 2000 m³ used now');
  await page.getByLabel('Water used now a year').fill('1');
  await expect(page.locator('.papers .hint')).toContainText('takes no less');
});

test('the card prints on one page and opens as a file anywhere', async ({ pocket, browser }) => {
  const { page } = pocket;
  const document = example();
  // As many stations as a big panel has.
  while (document.kept.length < 24) {
    const like = document.kept[document.kept.length % 4];
    document.kept.push({ ...like, id: document.kept.length + 1, name: `${like.name} ${document.kept.length}` });
  }
  await hold(page, document);
  await open(pocket, 'Card');
  for (const format of ['A4', 'Letter']) {
    const pages = await printed(page, format);
    expect(pages).toHaveLength(1);
    for (const part of ['Marrow Court (invented)', 'front bank', 'bed at the gate 23', 'Jul', 'East', '60 L/min', 'backflow']) {
      expect(pages[0]).toContain(part);
    }
  }
  const file = await given(page, () => pocket.tap(pocket.key('Card as a file that any phone opens')));
  expect(file.name).toBe('drycurb-Marrow-Court-invented-card.html');
  const desktop = await browser.newContext({ viewport: { width: 1280, height: 800 }, javaScriptEnabled: false });
  const shown = await desktop.newPage();
  const requests = [];
  shown.on('request', (request) => requests.push(request.url()));
  await shown.setContent(file.text);
  await expect(shown.getByRole('heading', { name: 'Marrow Court (invented)' })).toBeVisible();
  await expect(shown.locator('tbody').first().locator('tr')).toHaveCount(24);
  expect(requests).toEqual([]);
  await desktop.close();
  // The page reads its own card back.
  await hold(page, { version: 2 });
  await open(pocket, 'Copies');
  await page.getByLabel('Read a file').setInputFiles({ name: 'card.html', mimeType: 'text/html', buffer: Buffer.from(file.text) });
  await expect(page.locator('.comes')).toContainText('Marrow Court (invented) (24): new');
  await pocket.tap(pocket.key('Take it in'));
  await expect.poll(async () => facts((await pocket.saved()).kept)).toEqual(facts(document.kept));
});

test('a planned panel of 24 prints on one page in the look and words that take most room', async ({ pocket, browser }) => {
  const { page } = pocket;
  const document = example();
  document.prefs = { language: 'es', units: 'us', theme: 'sun' };
  while (document.kept.length < 24) {
    const like = document.kept[document.kept.length % 4];
    document.kept.push({ ...like, id: document.kept.length + 1, name: `${like.name} ${document.kept.length}` });
  }
  await hold(page, document);
  await pocket.tap(pocket.key('Noche'));
  await pocket.tap(pocket.key('Planificar la semana'));
  await page.locator('.programs section').first().waitFor({ timeout: 60_000 });
  await pocket.tap(pocket.key('Papeles'));
  await pocket.tap(page.locator('.papers .row').nth(1));
  for (const format of ['A4', 'Letter']) {
    const pages = await printed(page, format);
    expect(pages).toHaveLength(1);
    for (const part of ['bed at the gate 23', 'Programa A', 'licencia']) expect(pages[0]).toContain(part);
  }
  // So does its file, on whatever phone or desk it is opened.
  const file = await given(page, () => page.locator('[data-do=card_file]').click());
  const desktop = await browser.newContext({ viewport: { width: 1280, height: 800 }, javaScriptEnabled: false });
  const shown = await desktop.newPage();
  await shown.setContent(file.text);
  for (const format of ['A4', 'Letter']) expect(await printed(shown, format)).toHaveLength(1);
  await desktop.close();
  await page.emulateMedia({ media: 'print' });
  // A run and its soak stay on one line, and paper needs no weight against the sun.
  await page.setViewportSize({ width: 700, height: 1000 });
  const runs = await page.locator('.paper td:nth-child(3)').evaluateAll((all) => all.slice(0, 24).map((cell) => {
    const words = document.createRange();
    words.selectNodeContents(cell);
    return [new Set([...words.getClientRects()].map(({ top }) => top)).size, getComputedStyle(cell).fontWeight];
  }));
  expect(runs).toEqual(Array(24).fill([1, '400']));
});

test('the card tells times as the Night does, and reads back', async ({ pocket }) => {
  const { page } = pocket;
  const document = example();
  document.prefs.units = 'us';
  document.sites[0].facts.window_from = '9:30 pm';
  await hold(page, document);
  await pocket.tap(pocket.key('Night'));
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.programs').waitFor();
  const plain = (text) => text.replace(/\s+/g, ' ');
  const shown = async () => (await page.locator('.programs label').allInnerTexts()).map((line) => plain(line));
  const of = (lines, pattern) => lines.map((line) => line.match(pattern)?.[1]).filter(Boolean);
  const starts = of(await shown(), /Start (\d+:\d\d [AP]M)/);
  expect(starts.length).toBeGreaterThan(0);
  await open(pocket, 'Card');
  const card = plain(await page.locator('.paper').innerText());
  for (const start of starts) expect(card).toContain(start);
  expect(card).toContain('Night: 9:30 PM + 8 h.');
  const [print] = await printed(page, 'Letter');
  const file = await given(page, () => pocket.tap(pocket.key('Card as a file that any phone opens')));
  const written = plain(file.text.slice(0, file.text.indexOf('<script')));
  for (const paper of [card, print, written]) {
    for (const start of starts) expect(paper).toContain(start);
    // No time of 24 hours: 21:30 and, without a half of the day, 9:30.
    expect(paper).not.toMatch(/\b\d?\d:\d\d(?! [AP]M)/);
  }
  const before = await page.evaluate(() => localStorage.getItem('drycurb.page').split('\n').slice(1).join('\n'));
  await hold(page, { version: 2 });
  await open(pocket, 'Copies');
  await page.getByLabel('Read a file').setInputFiles({ name: 'card.html', mimeType: 'text/html', buffer: Buffer.from(file.text) });
  await pocket.tap(pocket.key('Take it in'));
  await expect.poll(async () => (await pocket.saved()).sites).toEqual(JSON.parse(before).sites);
  // This phone has metric units: 24 hours.
  await pocket.tap(pocket.key('Back'));
  await pocket.tap(page.locator('.papers .row', { hasText: 'Card' }));
  await expect(page.locator('.paper')).toContainText('Night: 21:30 + 8 h.');
});

/** The example with names that run into numbers, two supplies and rules that leave every other night, planned. */
const plannedCard = async (pocket) => {
  const { page } = pocket;
  const document = example();
  const [site] = document.sites;
  document.kept[0].name = 'bank 2';
  document.kept[1].name = 'oval 4';
  document.kept[3].supply = 2;
  site.supplies.push({ ...site.supplies[0], id: 2, name: 'Well' });
  site.facts.numbers.gap_seconds = { text: '20', units: 'si' };
  Object.assign(site, { days: 'odd', closed_from: '10:00', closed_until: '18:00', closed_dates: '2027-07-05', free_steps: true });
  site.facts.month = 7;
  await hold(page, document);
  await pocket.tap(pocket.key('Night'));
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.programs section').first().waitFor({ timeout: 60_000 });
  return document;
};

test('the card and the message show what was planned, and nothing else', async ({ pocket }) => {
  const { page } = pocket;
  await plannedCard(pocket);
  const { programs } = (await pocket.saved()).sites[0].planned.answer;
  // Of each station, by hand from the kept plan: starts times steps, minutes and days.
  const names = { 1: 'bank 2', 2: 'oval 4', 3: 'court shrubs', 4: 'bed at the gate' };
  const runs = (id) => programs.flatMap(({ starts, steps }, at) => steps
    .filter(({ stations }) => stations.some((one) => Number(one) === id))
    .map(({ seconds }) => ({ letter: 'ABCDEFGH'[at], text: `${starts.length} × ${seconds / 60} min` })));
  await open(pocket, 'Card');
  const card = page.locator('.paper');
  await expect(card.locator('.alarm')).toHaveCount(0);
  await expect(card.locator('.alarm')).toHaveCount(0);
  await expect(card.locator('thead').first()).not.toContainText('This week');
  for (const id of [1, 2, 3, 4]) {
    const row = card.locator('tbody').first().locator('tr').nth(id - 1);
    const said = runs(id);
    expect(said.length).toBeGreaterThan(0);
    for (const { letter, text } of said) await expect(row.locator('td').nth(2)).toContainText(`${letter} ${text}`);
    await expect(row.locator('td').nth(2)).not.toContainText('soak');
    await expect(row.locator('td').nth(3)).toHaveText('Odd dates');
  }
  await expect(card.locator('tbody').first().locator('tr').nth(3)).toContainText('Well');
  // Who opens together, and for how long, can be read in one way only.
  for (const [at, { steps }] of programs.entries()) {
    const line = steps.map(({ stations, seconds }) => (
      `${stations.map((id) => names[Number(id)]).join(' + ')}: ${seconds / 60}\u00a0min`)).join('; ');
    expect(await card.locator('p', { hasText: `Program ${'ABCDEFGH'[at]}` }).textContent()).toContain(line);
  }
  await expect(card).toContainText('Key a pause of 20 s between stations.');
  await expect(card).toContainText('Closed: 10:00 to 18:00.');
  await expect(card).toContainText('Closed dates: 2027-07-05.');
  await pocket.tap(pocket.key('Back'));
  await pocket.tap(page.locator('.papers .row', { hasText: 'Message' }));
  const said = runs(1).map(({ letter, text }) => `${letter} ${text}`).join(', ');
  await expect(page.locator('.message')).toContainText(`bank 2: ${said}; Odd dates.`);
  await expect(page.locator('.message')).not.toContainText('days a week');
  // Who came later is in no program.
  const document = await pocket.saved();
  document.kept.push({ ...document.kept[0], id: 9, name: 'new bed' });
  await hold(page, document);
  await open(pocket, 'Message');
  await expect(page.locator('.message')).toContainText('Not watered by these programs: new bed.');
  await expect(page.locator('.message')).not.toContainText('new bed:');
});

test('what is planned and keyed comes along to a phone with sites of its own', async ({ pocket }) => {
  const { page } = pocket;
  await plannedCard(pocket);
  await page.locator('.programs').getByRole('checkbox').first().check();
  await open(pocket, 'Card');
  const card = () => page.locator('.paper').innerText();
  const before = await card();
  const percents = await page.locator('.paper .percents').innerText();
  const file = await given(page, () => pocket.tap(pocket.key('Card as a file that any phone opens')));
  // The other phone has stations under the very same numbers.
  const here = example();
  here.sites[0].name = 'Elder Row (invented)';
  await hold(page, here);
  await open(pocket, 'Copies');
  await page.getByLabel('Read a file').setInputFiles({ name: 'card.html', mimeType: 'text/html', buffer: Buffer.from(file.text) });
  await expect(page.locator('.comes')).not.toContainText('stays behind');
  await pocket.tap(pocket.key('Take it in'));
  const { kept } = await pocket.saved();
  expect(kept.map(({ id }) => id)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
  await pocket.tap(pocket.key('Back'));
  await pocket.tap(page.locator('.papers .row', { hasText: 'Card' }));
  await expect(page.locator('.paper .alarm')).toHaveCount(0);
  expect(await card()).toBe(before);
  expect(await page.locator('.paper .percents').innerText()).toBe(percents);
  await pocket.tap(pocket.key('Night'));
  await expect(page.locator('.programs')).toContainText('1 of');
  await expect(page.locator('.programs').getByRole('checkbox').first()).toBeChecked();
  await expect(page.locator('.night')).not.toContainText('(deleted)');
  await expect(page.locator('.night')).not.toContainText('changed');
});

test('a card says when its programs run past the hours, as the Night does', async ({ pocket }) => {
  const { page } = pocket;
  const document = example();
  document.sites[0].facts.month = 7;
  document.sites[0].facts.numbers = { window_hours: { text: '2', units: 'si' } };
  document.kept = Array.from({ length: 12 }, (_, at) => ({ ...document.kept[at % 4], id: at + 1, name: `bank ${at + 1}` }));
  await hold(page, document);
  await pocket.tap(pocket.key('Night'));
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.programs section').first().waitFor({ timeout: 60_000 });
  const [, over] = (await page.locator('.night').innerText()).match(/It ends (\d+) min after the hours given/);
  const [, end] = (await page.locator('.night').innerText()).match(/The longest night ends at (\d\d:\d\d)/);
  await open(pocket, 'Card');
  const said = `These programs run ${over} min past the hours given: the longest night ends at ${end}.`;
  await expect(page.locator('.paper .alarm')).toHaveText(said);
  expect((await printed(page, 'A4'))[0]).toContain(said);
  const file = await given(page, () => pocket.tap(pocket.key('Card as a file that any phone opens')));
  expect(file.text).toContain(said);
});

test('without a plan the card gives the minutes of the month that its percents are of', async ({ pocket }) => {
  const { page } = pocket;
  const document = example();
  document.sites[0].facts.month = 11;
  await hold(page, document);
  await open(pocket, 'Card');
  await expect(page.locator('.paper')).toContainText('100 % = Jul');
  await expect(page.locator('.paper thead').first()).toContainText('A week in Jul');
  await expect(page.locator('.paper')).toContainText('The percents count rain; the minutes above count none');
  const week = page.locator('.paper tbody').first().locator('tr').nth(1).locator('td').last();
  const july = await week.innerText();
  await pocket.tap(pocket.key('Back'));
  await pocket.tap(page.locator('.papers .row', { hasText: 'Message' }));
  await expect(page.locator('.message')).toContainText('Minutes for November:');
  // The list of the site says the same for July.
  document.sites[0].facts.month = 7;
  await hold(page, document);
  await pocket.tap(pocket.key('Site'));
  await expect(page.locator('.lines li').nth(1)).toContainText(`${july.replace('\u00a0', ' ')} a week`);
});

test('a card says to plan again when any fact of its plan was changed', async ({ pocket }) => {
  const { page } = pocket;
  await plannedCard(pocket);
  await pocket.tap(pocket.key('Site'));
  await pocket.tap(page.locator('.lines li').first().getByRole('button'));
  await page.locator('.beside').getByLabel('Flow of the station').fill('33');
  await open(pocket, 'Card');
  await expect(page.locator('.paper .alarm')).toHaveText('The facts were changed since this was planned: plan again before keying.');
});

test('a card whose facts were changed since says to plan again, and who is gone is not there', async ({ pocket }) => {
  const { page } = pocket;
  await plannedCard(pocket);
  const document = await pocket.saved();
  const [gone] = document.kept.splice(1, 1);
  document.deleted = [gone];
  await hold(page, document);
  await open(pocket, 'Card');
  const card = page.locator('.paper');
  const stale = 'The facts were changed since this was planned: plan again before keying.';
  await expect(card.locator('.alarm')).toHaveText(stale);
  await expect(card).toContainText('oval 4 (deleted): ');
  await expect(card.locator('tbody').first()).not.toContainText('oval 4');
  expect((await printed(page, 'A4'))[0]).toContain(stale);
  const file = await given(page, () => pocket.tap(pocket.key('Card as a file that any phone opens')));
  expect(file.text).toContain(stale);
  await pocket.tap(pocket.key('Back'));
  await pocket.tap(page.locator('.papers .row', { hasText: 'Message' }));
  await expect(page.locator('.papers .alarm')).toHaveText(stale);
  await pocket.tap(pocket.key('Español'));
  await expect(page.locator('.papers .alarm')).toContainText('planifique de nuevo');
});

test('a quote promises nothing that is not in it', async ({ pocket }) => {
  const { page } = pocket;
  const document = example();
  document.kept[0].faults = [['other', 1]];
  await hold(page, document);
  await open(pocket, 'Quote');
  await pocket.tap(pocket.key('Take counts from the walk'));
  const paper = page.locator('.paper');
  await expect(paper).toContainText('Something else');
  await expect(paper).not.toContainText('note');
  await expect(paper).toContainText('No line of this quote has a price yet.');
  await expect(paper).not.toContainText('prices of');
  await page.getByRole('group', { name: 'Something else' }).getByLabel('Price each').fill('4');
  await expect(paper).not.toContainText('has a price yet');
  await expect(paper).toContainText('Assumes: counts and prices of');
});

/** What a station is known by, whether a hand or the page wrote it down. */
const facts = (list) => list.map(({ id, name, faults, draft }) => [id, name, faults ?? [], draft.soil, draft.numbers]);

const text = (page) => page.evaluate(() => localStorage.getItem('drycurb.page').split('\n').slice(1).join('\n'));

test('out, wiped, in again: the same to the byte; and nothing is lost that was here', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, priced());
  await open(pocket, 'Quote');
  await pocket.tap(pocket.key('Take counts from the walk'));
  const before = await text(page);
  await pocket.tap(pocket.key('Back'));
  await pocket.tap(page.locator('.papers .row', { hasText: 'Copies' }));
  const file = await given(page, () => pocket.tap(page.locator('[data-do=save_all]')));
  expect(file.name).toMatch(/^drycurb-\d{4}-\d\d-\d\d\.txt$/);
  await hold(page, { version: 2 });
  await open(pocket, 'Copies');
  const put = (name, body) => page.getByLabel('Read a file')
    .setInputFiles({ name, mimeType: 'text/plain', buffer: Buffer.from(body) });
  await put('x.txt', 'shopping list');
  await expect(page.locator('.papers .note.wrong')).toHaveText('Not a file of Drycurb.');
  await put('y.txt', '{"version":99}');
  await expect(page.locator('.papers .note.wrong')).toContainText('newer');
  await put(file.name, file.text);
  await pocket.tap(pocket.key('Take it in'));
  await expect.poll(() => text(page)).toBe(before);
  // Once more: known, and nothing is doubled.
  await put(file.name, file.text);
  await expect(page.locator('.comes')).toContainText('the same as here');
  await pocket.tap(pocket.key('Take it in'));
  await expect.poll(() => text(page)).toBe(before);
  // Another one of that name comes beside it, and can be taken back.
  await put(file.name, file.text.replace('"front bank"', '"north bank"'));
  await expect(page.locator('.comes')).toContainText('comes in beside it');
  await pocket.tap(pocket.key('Take it in'));
  await expect.poll(async () => (await pocket.saved()).sites.length).toBe(2);
  await pocket.tap(pocket.key('Put back what was here before'));
  await expect.poll(() => text(page)).toBe(before);
});

/** Puts pictures into the phone's store as the walk does, by number. */
const putPhotos = (page, photos) => page.evaluate((list) => new Promise((done) => {
  const request = indexedDB.open('drycurb', 1);
  request.onsuccess = () => {
    const transaction = request.result.transaction('records', 'readwrite');
    const records = transaction.objectStore('records');
    for (const [number, url] of list) { if (url) records.put(url, `photo-${number}`); else records.delete(`photo-${number}`); }
    transaction.oncomplete = () => { request.result.close(); done(); };
  };
}), photos);

const photosOf = (page, numbers) => page.evaluate((list) => new Promise((done) => {
  const request = indexedDB.open('drycurb', 1);
  request.onsuccess = () => {
    const records = request.result.transaction('records').objectStore('records');
    Promise.all(list.map((number) => new Promise((found) => {
      records.get(`photo-${number}`).onsuccess = ({ target }) => found(target.result ?? null);
    }))).then((urls) => { request.result.close(); done(urls); });
  };
}), numbers);

test('photos travel in the file, and can be left out', async ({ pocket }) => {
  const { page } = pocket;
  const document = priced();
  const later = Math.floor(Date.now() / 1000);
  const numbers = [later, later + 1, later + 2];
  const url = (letter, length) => `data:image/jpeg;base64,${letter.repeat(length)}`;
  const photos = [url('A', 40_000), url('B', 20_000), url('C', 1000)];
  numbers.forEach((number, at) => { document.kept[at].photo = number; });
  await hold(page, document);
  await putPhotos(page, numbers.map((number, at) => [number, photos[at]]));
  await open(pocket, 'Quote');
  await pocket.tap(pocket.key('Take counts from the walk'));
  await pocket.tap(pocket.key('Back'));
  await pocket.tap(page.locator('.papers .row', { hasText: 'Copies' }));
  await expect(page.getByLabel('Files with photos: 3')).toBeChecked();
  const save = page.locator('[data-do=save_all]');
  await expect(save).toHaveText(/^All of this phone as a file, 6\d\.\d\skB$/);
  expect(await cutNarrow(page, '.papers')).toEqual([]);
  expect(await axe(page, '.papers')).toEqual([]);
  const file = await given(page, () => pocket.tap(save));
  expect(Object.keys(JSON.parse(file.text.slice(file.text.indexOf('{'))).photos)).toHaveLength(3);
  const before = await text(page);
  // Without them, nothing names them.
  await page.getByLabel('Files with photos: 3').uncheck();
  await expect(save).toHaveText(/^All of this phone as a file, [1-9](\.\d+)?\skB$/);
  const bare = await given(page, () => pocket.tap(save));
  expect(bare.text).not.toContain('photo');
  // Wiped, and in again: the same document, the same photos.
  await putPhotos(page, numbers.map((number) => [number, null]));
  await hold(page, { version: 2 });
  await open(pocket, 'Copies');
  const put = (body) => page.getByLabel('Read a file')
    .setInputFiles({ name: 'drycurb.txt', mimeType: 'text/plain', buffer: Buffer.from(body) });
  await put(file.text);
  await expect(page.locator('.comes')).toContainText('Photos with it: 3.');
  await pocket.tap(pocket.key('Take it in'));
  await expect.poll(() => text(page)).toBe(before);
  expect(await photosOf(page, numbers)).toEqual(photos);
  // The same without photos is known; a photo whose number another has here gets one of its own.
  await put(bare.text);
  await expect(page.locator('.comes')).toContainText('the same as here');
  await pocket.tap(pocket.key('Leave it'));
  await put(file.text.replace('"front bank"', '"north bank"').replace(photos[0], url('D', 500)));
  await pocket.tap(pocket.key('Take it in'));
  const north = async () => (await pocket.saved()).kept.find(({ name }) => name === 'north bank');
  await expect.poll(async () => Boolean(await north())).toBe(true);
  const fresh = (await north()).photo;
  expect(numbers).not.toContain(fresh);
  expect(await photosOf(page, [numbers[0], fresh])).toEqual([photos[0], url('D', 500)]);
});

/** A camera's film, as Chromium's fake camera reads it: each code for a while on a grey wall. */
const film = (path, codes) => {
  const [width, height] = [640, 480];
  const parts = [Buffer.from(`YUV4MPEG2 W${width} H${height} F10:1 Ip A1:1 C420jpeg\n`)];
  const grey = Buffer.alloc(width * height / 2, 128);
  for (const code of codes) {
    const { size, dark } = encode(code);
    const scale = Math.floor(440 / (size + 8));
    const [left, top] = [Math.round((width - size * scale) / 2), Math.round((height - size * scale) / 2)];
    const luma = Buffer.alloc(width * height, 120);
    for (let y = -4 * scale; y < (size + 4) * scale; y += 1) {
      for (let x = -4 * scale; x < (size + 4) * scale; x += 1) {
        const [mx, my] = [Math.floor(x / scale), Math.floor(y / scale)];
        const on = mx >= 0 && my >= 0 && mx < size && my < size && dark[my * size + mx];
        luma[(top + y) * width + left + x] = on ? 30 : 225;
      }
    }
    for (let i = 0; i < 6; i += 1) parts.push(Buffer.from('FRAME\n'), luma, grey);
  }
  writeFileSync(path, Buffer.concat(parts));
};

test('a site goes to another phone by codes and camera', async ({ pocket, server, launchOptions }) => {
  test.slow();
  const { page } = pocket;
  await hold(page, priced());
  await open(pocket, 'Copies');
  await pocket.tap(pocket.key('Show this site as codes'));
  const dialog = page.locator('dialog.codes');
  await expect(dialog.getByRole('status')).toHaveText(/^Code 1 of \d+$/);
  const of = Number((await dialog.getByRole('status').innerText()).split(' ').pop());
  const codes = new Set();
  for (let i = 0; i < of; i += 1) {
    codes.add(await dialog.getAttribute('data-frame'));
    await pocket.tap(dialog.getByRole('button', { name: 'Next' }));
  }
  expect(codes.size).toBe(of);
  expect(of).toBeLessThanOrEqual(8);
  await pocket.tap(dialog.getByRole('button', { name: 'Close' }));
  await expect(dialog).toHaveCount(0);
  const folder = mkdtempSync(join(tmpdir(), 'film-'));
  const path = join(folder, 'codes.y4m');
  film(path, [...codes].reverse());
  const other = await chromium.launch({
    ...launchOptions,
    args: [...launchOptions.args, '--use-fake-ui-for-media-stream', '--use-fake-device-for-media-stream',
      `--use-file-for-fake-video-capture=${path}`],
  });
  try {
    const phone = await (await other.newContext({ permissions: ['camera'] })).newPage();
    await phone.goto(server.address);
    await phone.getByRole('button', { name: 'Papers' }).click();
    await phone.locator('.papers .row', { hasText: 'Copies' }).click();
    await phone.getByRole('button', { name: 'Read codes with the camera' }).click();
    await expect(phone.locator('.comes')).toContainText('Marrow Court (invented) (4): new', { timeout: 30_000 });
    await phone.getByRole('button', { name: 'Take it in' }).click();
    const kept = await phone.evaluate(() => (
      JSON.parse(localStorage.getItem('drycurb.page').split('\n').slice(1).join('\n')).kept));
    expect(facts(kept)).toEqual(facts(priced().kept));
  } finally {
    await other.close();
    rmSync(folder, { recursive: true });
  }
});

test('stations go to a spreadsheet and back', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await open(pocket, 'Copies');
  const before = await text(page);
  const file = await given(page, () => pocket.tap(pocket.key('Save the table')));
  expect(file.name).toBe('drycurb-Marrow-Court-invented-stations.csv');
  const rows = file.text.replace('\ufeff', '').trim().split('\r\n');
  expect(rows[0]).toBe('station,soil,slope_percent,rate_mm_per_h,flow_l_per_min,area_m2,plants,note');
  expect(rows[1]).toMatch(/^front bank,clay_loam,4,38,40,63\.158,cool_turf,$/);
  const put = (body) => page.getByLabel('Read a table')
    .setInputFiles({ name: 'stations.csv', mimeType: 'text/csv', buffer: Buffer.from(body) });
  await put(file.text);
  await expect.poll(() => text(page)).toBe(before);
  await put('station;rate_mm_per_h\r\noval;16,5\r\nnew one;9\r\n');
  await expect.poll(async () => (await pocket.saved()).kept.map((kept) => [kept.name, kept.draft.numbers.rate.text]))
    .toEqual([['front bank', '38'], ['oval', '16,5'], ['court shrubs', '12'], ['bed at the gate', '20'], ['new one', '9']]);
  const said = page.locator('.papers .open');
  await expect(said).toContainText('Rows taken: 2; new stations: 1.');
  // What is not understood is told, cell by cell, and changes nothing.
  const now = await text(page);
  await put('station,soil,rate_mm_per_h\r\noval,gravel,-5\r\n,loam,\r\n');
  await expect(said).toContainText('Rows taken: 1; new stations: 0.');
  await expect(said.locator('li')).toHaveText([/^oval: soil\sgravel$/, /^oval: rate_mm_per_h\s-5$/, /^#2: station\s*$/]);
  expect(await text(page)).toBe(now);
  await put('name;rate\r\noval;16\r\n');
  await expect(said).toContainText('its first row needs a column named station');
  expect(await text(page)).toBe(now);
});

test('a few sentences for the client, in either language', async ({ pocket }) => {
  const { page } = pocket;
  const document = priced();
  await hold(page, document);
  await open(pocket, 'Message');
  // Nothing was looked at yet, and nothing is said of it.
  await expect(page.locator('.message')).toContainText(/^Marrow Court \(invented\), \d{4}-\d\d-\d\d\.\n/);
  await expect(page.locator('.message')).not.toContainText('ooked');
  await expect(page.locator('.message')).toContainText(/oval: \d+ × \d+ min.*, days a week: \d\./);
  await expect(page.locator('.message')).not.toContainText('Still to be measured');
  document.kept[0].checked = true;
  document.kept[3].checked = true;
  document.kept[1].draft.soil = null;
  await hold(page, document);
  await open(pocket, 'Message');
  await expect(page.locator('.message')).toContainText('Still to be measured: oval.');
  await expect(page.locator('.message')).not.toContainText('—');
  await expect(page.locator('.message')).toContainText('Stations looked at: 2 of 4.');
  await pocket.tap(pocket.key('Español'));
  await expect(page.locator('.message')).toContainText('Estaciones revisadas: 2 de 4.');
});

for (const [theme, language] of [['light', 'en'], ['dark', 'es'], ['sun', 'en']]) {
  test(`accessible, and nothing wider than the phone: ${theme}, ${language}`, async ({ pocket }) => {
    const { page } = pocket;
    const document = { ...priced() };
    document.prefs = { theme, language, units: 'si' };
    await hold(page, document);
    await pocket.tap(pocket.key(language === 'es' ? 'Papeles' : 'Papers'));
    for (const paper of [0, 1, 2, 3]) {
      await pocket.tap(page.locator('.papers .row').nth(paper));
      if (paper === 0) await page.locator('[data-do=walk]').click();
      expect(await cutNarrow(page, '.papers', 'svg, .wide')).toEqual([]);
      expect(await axe(page, '.papers')).toEqual([]);
      await pocket.tap(page.locator('.papers .back'));
    }
  });
}
