// The Year: months, what to key, water and money, harder years, the root zone, reminders.
import ICAL from 'ical.js';
import { readFileSync } from 'node:fs';
import { extractText, getDocumentProxy } from 'unpdf';

import { example, given, hold, yearAsked } from './example.mjs';
import { serve } from '../tools/serve.mjs';
import { DIST, ROOT, axe, cutNarrow, expect, lines, test } from './page.mjs';

const printed = async (page, format) => {
  const { text } = await extractText(await getDocumentProxy(new Uint8Array(await page.pdf({ format }))), { mergePages: false });
  return text.map((one) => one.replace(/\s+/g, ' '));
};

const rows = async (page) => {
  await expect(page.locator('.year tbody tr')).toHaveCount(12);
  return page.locator('.year tbody tr').evaluateAll((list) => list.map((row) => (
    [...row.cells].map((cell) => cell.textContent))));
};

test('months to key are those of the native program', async ({ pocket }) => {
  const { page } = pocket;
  await pocket.tap(pocket.key('Year'));
  await expect(page.locator('.year')).toContainText('Keep a station in the Pocket first');
  await pocket.tap(page.locator('.year').getByRole('button', { name: 'Pocket' }));
  await expect(page.locator('.pocket')).toBeVisible();
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  const [{ ok: { places: [place] } }] = lines([{ ask: 'climate', name: 'Denver' }]);
  // Low-use shrubs take 0.2 of the reference, in every month alike (WUCOLS IV, middle of the class).
  const season = (station) => ({
    ask: 'season', base_month: 7, step_percent: 10, et_mm_per_day: place.et_mm_per_day,
    rain_mm: place.rain_mm, rain_rule: 'half', stations: [station],
  });
  const [{ ok: { months } }] = lines([season({ plant_factor: 0.2 })]);
  await page.getByLabel('Run times are for').selectOption('July');
  await page.getByLabel('Percent in steps of').selectOption('10 %');
  const shown = await rows(page);
  expect(shown.map((row) => row[2])).toEqual(months.map((month) => String(month.percent)));
  expect(shown[6].slice(1, 4)).toEqual(['100', '100', '100']);
});

test('water and money of every month are those of the native program', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  const [{ ok }] = lines([yearAsked(lines)]);
  const shown = await rows(page);
  const money = (hundredths) => `$${(hundredths / 100).toFixed(2)}`;
  expect(shown.map((row) => row.at(-1))).toEqual(ok.months.map((month) => money(month.hundredths)));
  expect(shown.map((row) => row.slice(1, 4))).toEqual(ok.months.map((month) => (
    month.programs.map(({ percent }) => String(percent)))));
  shown.forEach((row, at) => expect(Math.abs(row[4] * 1000 - ok.months[at].litres)).toBeLessThanOrEqual(
    ok.months[at].litres / 100));
  await expect(page.locator('.year .span')).toContainText(money(ok.year_hundredths));
  // The picture says the same: of each bar how high it is, of the height that its scale gives.
  const drawn = (part) => page.locator(`.months ${part}`).evaluateAll((all) => all.map((path) => (
    path.getAttribute('d').split('Z').filter(Boolean)
      .map((bar) => bar.match(/^M[\d.-]+ ([\d.-]+)V([\d.-]+)H/).slice(1).map(Number))
      .map(([foot, top]) => foot - top))));
  const strips = await drawn('.share');
  expect(strips).toHaveLength(3);
  const most = Math.max(100, ...ok.months.flatMap(({ programs }) => programs.map(({ percent }) => percent)));
  strips.forEach((bars, program) => bars.forEach((high, month) => (
    expect(high / 14 * most).toBeCloseTo(ok.months[month].programs[program].percent, -0.5))));
  const [paid] = await drawn('.paid');
  const dearest = Math.max(...ok.months.map(({ hundredths }) => hundredths));
  paid.forEach((high, month) => expect(high / 14).toBeCloseTo(ok.months[month].hundredths / dearest, 1.5));
  await expect(page.locator('.months').first()).toContainText(`A ${most}\u00a0%`);
  await expect(page.locator('.months').first()).toContainText(`cost ${money(dearest)}`);
});

// WUCOLS IV (2014): middles of its classes; for turf the months of the lawn, from the native program.
const CLASSES = { very_low_use: 0.05, low_use: 0.2, moderate_use: 0.5, high_use: 0.8 };
const KINDS = ['cool_turf', 'warm_turf', ...Object.keys(CLASSES)];
const DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
// Litres of a unit, by definition from the inch of 25.4 mm: a gallon is 231 cubic inches, a foot 12.
const UNITS = { m3: 1000, kgal: 3785.411784, ccf: 2831.6846592 };

for (const [city, units, price_unit, tiers, step] of [
  ['Madrid', 'si', 'm3', [['20', '1.1'], ['60', '2.25'], ['', '3.999']], 1],
  ['Phoenix', 'us', 'kgal', [['5', '4.10'], ['', '6.05']], 5],
  ['Melbourne', 'si', 'ccf', [['10', '1'], ['', '2']], 1],
]) {
  test(`a year in ${city} by plain arithmetic from the climate's own file`, async ({ pocket }) => {
    const { page } = pocket;
    const document = example();
    const like = document.kept[0];
    const given = KINDS.map((plants, at) => ({ plants, rate: 10 + 5 * at, flow: 20 + 7 * at, even: 55 + 5 * at }));
    document.prefs.units = units;
    Object.assign(document.sites[0], { tiers, price_unit, words: { step: `${step}` }, facts: { climate: { place: city }, numbers: {} } });
    const si = (number) => ({ text: `${number}`, units: 'si' });
    document.kept = given.map(({ plants, rate, flow, even }, at) => ({
      ...like, id: at + 1, name: plants,
      draft: { ...like.draft, plants, climate: { place: city }, numbers: { rate: si(rate), rate_flow: si(flow), uniformity: si(even) } },
    }));
    await hold(page, document);
    await pocket.tap(pocket.key('Year'));
    const shown = await rows(page);
    const { places } = JSON.parse(readFileSync(`${ROOT}/tests/data/climate/places.json`, 'utf8'));
    const place = places.find(({ tz }) => tz.endsWith(`/${city}`));
    // As the table keeps them: steps of 0.05 mm, and rain by its root.
    const et = place.eto_mm_d_HS1975.map((mm) => Math.floor(mm * 20 + 0.5) / 20);
    const rain = place.rain_mm.map((mm) => Math.floor(Math.sqrt(64 * mm) + 0.5) ** 2 / 64);
    const [{ ok: cool }, { ok: warm }] = lines([{ ask: 'plant', turf: 'cool_season' }, { ask: 'plant', turf: 'warm_season' }]);
    const north = (plants) => ({ cool_turf: cool.plant_factors, warm_turf: warm.plant_factors })[plants] ?? Array(12).fill(CLASSES[plants]);
    const needs = given.map(({ plants }) => {
      const list = north(plants);
      const factors = place.lat < 0 ? [...list.slice(6), ...list.slice(0, 6)] : list;
      // Half of the rain counts (common practice, no source), and no more than is wanted.
      return et.map((mm, month) => Math.max(0, mm * factors[month] - rain[month] / 2 / DAYS[month]));
    });
    const sums = DAYS.map((_, month) => needs.reduce((sum, need) => sum + need[month], 0));
    const base = sums.indexOf(Math.max(...sums));
    for (const [month, row] of shown.entries()) {
      let litres = 0;
      given.forEach(({ rate, flow, even }, at) => {
        const whole = needs[at][base] || Math.max(...needs[at]);
        const percent = whole && Math.ceil(100 * needs[at][month] / whole / step - 1e-9) * step;
        expect(row[at + 1]).toBe(needs[at][base] ? `${percent}` : '–');
        // More is run where water falls unevenly: 1 / (0.4 + 0.6 x the low quarter's share), the trade's scheduling
        // handbook of 2005, from memory.
        litres += whole * percent / 100 * DAYS[month] * flow * 60 / rate / (0.4 + 0.006 * even);
      });
      const [water, cost] = row.slice(-2).map((text) => Number(text.replace(/[$,]/g, '')));
      const inUnits = litres / (units === 'us' ? UNITS.kgal : UNITS.m3);
      expect(Math.abs(water - inUnits)).toBeLessThanOrEqual(0.006 * Math.max(inUnits, 0.1));
      let [left, from, money] = [Math.round(litres) / UNITS[price_unit], 0, 0];
      for (const [until, price] of tiers) {
        const part = Math.min(left, until ? Number(until) - from : Infinity);
        money += part * Number(price);
        left -= part;
        from = Number(until);
      }
      expect(Math.abs(cost - money)).toBeLessThan(0.006);
    }
  });
}

test('on paper the months stay on one page, in the colours of paper, with a key that is printed', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, { ...example(), prefs: { language: 'en', units: 'si', theme: 'dark' } });
  await pocket.tap(pocket.key('Year'));
  await rows(page);
  for (const format of ['A4', 'Letter']) {
    const pages = await printed(page, format);
    expect(pages.length).toBeLessThanOrEqual(2);
    for (const part of ['Key this, percent', 'Jan', 'Nov', 'Dec']) expect(pages[0]).toContain(part);
    // A head with nothing below it, and what is there to be tapped, are not printed; whose root zone it is, is.
    for (const part of ['What if', 'Run times are for', 'Percent in steps']) expect(pages.join(' ')).not.toContain(part);
    expect(pages.at(-1)).toContain('Root zone through the year');
  }
  // Nor do eight programs, each with its strip, push December off it.
  const many = example();
  const plants = ['cool_turf', 'warm_turf', 'very_low_use', 'low_use', 'moderate_use', 'high_use'];
  many.kept = plants.map((kind, at) => ({ ...many.kept[0], id: at + 1, name: kind, draft: { ...many.kept[0].draft, plants: kind } }));
  await hold(page, many);
  await rows(page);
  expect(await page.locator('.months .share').count()).toBeGreaterThanOrEqual(plants.length);
  for (const format of ['A4', 'Letter']) expect((await printed(page, format))[0]).toContain('Dec');
  await hold(page, { ...example(), prefs: { language: 'en', units: 'si', theme: 'dark' } });
  await rows(page);
  // A harder year says what it is.
  await pocket.tap(pocket.key('hot year'));
  expect((await printed(page, 'A4')).join(' ')).toContain('What if');
  await page.emulateMedia({ media: 'print' });
  await expect(page.locator('#zone-0')).toBeVisible();
  const painted = () => page.evaluate(() => ['.months .run', '.months .flow', '.months .rain'].map((part) => (
    getComputedStyle(document.querySelector(part)).fill)));
  const keyed = () => page.locator('.year figcaption span:is(.run, .flow, .rain)').evaluateAll((all) => (
    all.map((span) => [getComputedStyle(span).printColorAdjust, span.className])));
  expect((await keyed()).map(([adjust]) => adjust)).toEqual(Array(3).fill('exact'));
  const dark = await painted();
  await page.evaluate(() => window.drycurb.theme('light'));
  expect(dark).toEqual(await painted());
});

const TABLE = [1.1, 1.7, 2.6, 3.9, 4.8, 6.1, 6.4, 5.5, 4.2, 2.7, 1.5, 1];

test('twelve figures of a local table take the place of the rough climate', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  await expect(page.locator('#source summary')).toHaveText('Months from: Denver');
  await pocket.tap(page.locator('#source summary'));
  await pocket.tap(pocket.key('own figures'));
  await expect(page.locator('#source')).toContainText('Still wanted or not understood: Jan, Feb');
  await expect(page.locator('.year')).toContainText('Rough climate');
  const et = page.locator('[data-in=own_et]');
  await et.first().fill(TABLE.join(' '));
  await expect(et).toHaveCount(12);
  expect(await et.evaluateAll((list) => list.map(({ value }) => Number(value)))).toEqual(TABLE);
  await expect(et.first()).toBeFocused();
  await expect(page.locator('#source summary')).toHaveText('Months from: own figures');
  await expect(page.locator('.year')).not.toContainText('Rough climate');
  await expect(page.locator('.months .doubt')).toHaveCount(0);
  const water = () => rows(page).then((list) => list.map((row) => row.at(-1)));
  const asked = (more) => lines([yearAsked(lines, more)])[0].ok.months
    .map(({ hundredths }) => `$${(hundredths / 100).toFixed(2)}`);
  expect(await water()).toEqual(asked({ et_mm_per_day: TABLE }));
  // Inches a month, and a rain of one's own.
  await page.locator('[data-in=own_unit]').selectOption('inches a month');
  await page.locator('[data-in=own_rain]').first().fill(Array(12).fill('0,5').join('\t'));
  const days = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
  expect(await water()).toEqual(asked({
    et_mm_per_day: TABLE.map((inches, at) => inches * 25.4 / days[at]), rain_mm: Array(12).fill(12.7),
  }));
  await et.nth(3).fill('x');
  await expect(page.locator('#source .wrong')).toContainText('not understood: Apr.');
  expect(await water()).toEqual(asked());
  // What was typed outlives the page, and going back to the place.
  await et.nth(3).fill('3.9');
  await page.reload();
  await pocket.tap(pocket.key('Year'));
  await expect(page.locator('#source summary')).toHaveText('Months from: own figures');
  await pocket.tap(page.locator('#source summary'));
  await pocket.tap(pocket.key('a place'));
  expect(await water()).toEqual(asked());
  expect((await pocket.saved()).sites[0].words.own_et.split(';').map(Number)).toEqual(TABLE);
});

test('twelve own figures count in the list, the Pocket and the night as well, but for who types', async ({ pocket }) => {
  const { page } = pocket;
  const document = example();
  document.sites[0].facts.month = 7;
  document.kept.forEach(({ draft }, at) => { if (at) delete draft.climate; });
  await hold(page, document);
  const [{ ok: lawn }, { ok: { places: [place] } }] = lines([
    { ask: 'plant', turf: 'cool_season' }, { ask: 'climate', name: 'Denver' }]);
  // What the oval wants, natively; roots and share are those of turf.
  const oval = (et, month = 7) => {
    const [{ ok }] = lines([{ ask: 'station', soil: 'loam', slope_percent: 4, precipitation_mm_per_h: 15, et_mm_per_day: et,
      plant_factor: lawn.plant_factors[month - 1], rain_mm_per_week: 0, root_depth_mm: 152.4, allowed_depletion: 0.5,
      low_quarter_uniformity: 0.65 }]);
    return ok.days * ok.runs_per_day * ok.run_minutes;
  };
  const own = oval(TABLE[6] * 25.4 / 31);
  const rough = oval(place.et_mm_per_day[6]);
  expect(new Set([own, rough, oval(3)]).size).toBe(3);
  const row = page.locator('.site .lines li', { hasText: 'oval' });
  const week = (minutes) => expect(row).toContainText(`· ${minutes} min a week`);
  await pocket.tap(pocket.key('Site'));
  await week(rough);
  await pocket.tap(pocket.key('Year'));
  await pocket.tap(page.locator('#source summary'));
  await pocket.tap(pocket.key('own figures'));
  await page.locator('[data-in=own_unit]').selectOption('inches a month');
  await page.locator('[data-in=own_et]').first().fill(TABLE.slice(0, 11).join(' '));
  // Eleven are no year: nothing has changed.
  await pocket.tap(pocket.key('Site'));
  await week(rough);
  await pocket.tap(pocket.key('Year'));
  await page.locator('[data-in=own_et]').last().fill(String(TABLE[11]));
  await pocket.tap(pocket.key('Site'));
  await week(own);
  // The facts of the site and the sentence of the Pocket say so.
  await pocket.tap(pocket.key('Facts'));
  await expect(page.locator('.site .lines li', { hasText: 'Climate' })).toContainText('own figures');
  await pocket.tap(pocket.key('Stations'));
  await pocket.tap(row.getByRole('button'));
  await expect(page.locator('.beside .result').first()).toContainText(`${own} min a week`);
  await pocket.tap(pocket.key('Find out in the Pocket'));
  const water = page.locator('.assumption', { hasText: 'own figures' });
  await expect(water).toHaveText(/^July: own figures, 5\.24\smm\/d$/);
  expect((await pocket.answer())[2]).toBe(`${own} min`);
  // Neither place nor zone would count; the month does, and who types has what he types.
  await pocket.tap(water);
  await expect(page.getByLabel('Find a place')).toHaveCount(0);
  await page.locator('#month-0').selectOption('May');
  await expect(water).toHaveText(/^May: own figures, 3\.93\smm\/d$/);
  const may = oval(TABLE[4] * 25.4 / 31, 5);
  expect((await pocket.answer())[2]).toBe(`${may} min`);
  await page.locator('#month-0').selectOption('July');
  await expect(page.getByLabel('Reference ET', { exact: true })).toHaveCount(0);
  await pocket.tap(pocket.key('Type the reference ET'));
  await pocket.type('Reference ET', '3', page.locator('.editor'));
  expect((await pocket.answer())[2]).toBe(`${oval(3)} min`);
  await expect(water).toHaveCount(0);
  await expect(page.getByLabel('Find a place')).toBeVisible();
  await page.getByLabel('Find a place').fill('zzzz');
  await expect(page.getByText('No such place in the list.')).toBeVisible();
  await page.getByLabel('Find a place').fill('');
  await expect(page.getByText('No such place in the list.')).toHaveCount(0);
  // The night.
  await pocket.tap(pocket.key('Night'));
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.span').waitFor();
  await expect(page.locator('.night')).toContainText(/Minutes for July, reference ET 5\.24\smm\/d \(own figures\)\./);
  const planned = (await pocket.saved()).sites[0].planned.answer;
  expect(planned.et_mm_per_day).toBeCloseTo(TABLE[6] * 25.4 / 31, 9);
  // Other figures make the plan an old one; going back to the place makes the minutes those of the place.
  await pocket.tap(pocket.key('Year'));
  await pocket.tap(page.locator('#source summary'));
  await page.locator('[data-in=own_et]').nth(6).fill('9');
  await pocket.tap(pocket.key('Night'));
  await expect(page.locator('.night')).toContainText('The facts were changed since this was planned');
  await pocket.tap(pocket.key('Year'));
  await pocket.tap(page.locator('#source summary'));
  await pocket.tap(pocket.key('a place'));
  await pocket.tap(pocket.key('Site'));
  await expect(page.locator('.beside .result').first()).toContainText(`${rough} min a week`);
});

test('one typed number is no year, and says what is', async ({ pocket }) => {
  const { page } = pocket;
  const document = example();
  document.sites[0].facts.climate = 'typed';
  document.sites[0].facts.numbers = { reference_et: { text: '6', units: 'si' } };
  document.kept.forEach((kept) => { kept.draft.climate = 'typed'; });
  await hold(page, document);
  await pocket.tap(pocket.key('Year'));
  await expect(page.locator('.year')).toContainText('one typed number is one month only');
  await pocket.tap(pocket.key('own figures'));
  await page.locator('[data-in=own_et]').first().fill(TABLE.join(';'));
  await expect(page.locator('.year .span')).toBeVisible();
  await expect(page.locator('.year')).toContainText('No rain is counted');
  await pocket.tap(page.locator('#source summary'));
  // South of the equator a lawn's year is turned by half.
  const first = await rows(page);
  await page.getByLabel('south of the equator').check();
  expect(await rows(page)).not.toEqual(first);
});

test('a harder year takes more, and the doubt is shown', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  const head = page.locator('.year .span');
  await expect(head).toHaveText(/^\d+\sm³ a year · \$\d+\.\d\d$/);
  await expect(page.locator('.year')).toContainText(/Rough climate: \d+\sm³ to \d+\sm³\./);
  const usual = Number((await head.innerText()).split(' ')[0].split('\u00a0')[0]);
  await pocket.tap(pocket.key('hot and dry'));
  const harder = Number((await head.innerText()).split(' ')[0].split('\u00a0')[0]);
  expect(harder).toBeGreaterThan(usual);
  await expect(page.locator('.year .result').first()).toHaveText(
    new RegExp(`^\\+${harder - usual}(\\.\\d)?\u00a0m³ and \\$\\d+\\.\\d\\d against the usual year\\.$`));
  await page.getByLabel('Evaporation more by, %').fill('0');
  await page.getByLabel('Rain less by, %').fill('0');
  await expect(page.locator('.year .result').first()).toContainText('+0\u00a0m³ and $0.00');
});

test('an allowance is drawn and compared', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  await expect(page.locator('.months .limit')).toHaveCount(1);
  await pocket.tap(page.locator('summary', { hasText: 'Allowance' }));
  await page.getByLabel('Adjustment factor of an allowance').fill('0.9');
  await expect(page.locator('.year')).toContainText('Within the allowance');
  await expect(page.locator('.months .limit')).toHaveCount(2);
  await page.getByLabel('Adjustment factor of an allowance').fill('0.1');
  await expect(page.locator('.year')).toContainText('Over the allowance');
  await page.getByLabel('Adjustment factor of an allowance').fill('9');
  await expect(page.locator('.year')).toContainText('A factor from 0 to 1.');
});

test('the root zone of a chosen station', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  const said = page.locator('.year .result').last();
  const first = await said.innerText();
  await page.getByLabel('Station').selectOption('court shrubs');
  await expect(said).toHaveText(/^Days of stress, marked below: \d+\. Days on which water drains below the roots, marked above: \d+, \d+(\.\d+)?\smm in all\. Days from watering to watering: \d+\.$/);
  // As many marks as days.
  const marks = async (part) => ((await page.locator(`.months .${part}`).getAttribute('d')).match(/M/g) ?? []).length;
  const [stress, drains] = (await said.innerText()).match(/: \d+/g).map((number) => Number(number.slice(2)));
  expect([await marks('stress'), await marks('drain')]).toEqual([stress, drains]);
  expect(drains).toBeGreaterThan(0);
  expect(await said.innerText()).not.toBe(first);
});

for (const [month, name, et] of [[5, 'May'], [7, 'July'], [11, 'November', '7']]) {
  test(`percents of a plan for ${name}${et ? ' and a typed figure' : ''} are of the minutes it keys`, async ({ pocket }) => {
    const { page } = pocket;
    const document = example();
    const [site] = document.sites;
    Object.assign(site.facts, { month });
    // What was chosen before there was a plan no longer counts.
    site.words = { base: '8' };
    if (et) {
      for (const { draft } of document.kept) Object.assign(draft, { climate: 'typed', numbers: { ...draft.numbers, reference_et: { text: et, units: 'si' } } });
      site.facts.climate = { place: 'Denver' };
    }
    await hold(page, document);
    await pocket.tap(pocket.key('Night'));
    await pocket.tap(pocket.key('Plan the week'));
    await page.locator('.span').first().waitFor();
    await pocket.tap(pocket.key('Year'));
    const year = page.locator('.year');
    await expect(year.locator('tbody tr')).toHaveCount(12);
    await expect(year.getByLabel('Run times are for')).toHaveCount(0);
    await expect(year).toContainText(`Run times are those of ${name}`);
    // What the programs give, from their days, starts and minutes, stands at 100 percent.
    const { answer } = (await pocket.saved()).sites[0].planned;
    const asked = yearAsked(lines);
    // Where a station waters in a second program, the native program is not asked for that one's percents.
    const second = new Set();
    example().kept.forEach(({ id, draft: { numbers: { rate } } }, at) => {
      const own = answer.programs.flatMap(({ days, starts, steps }, program) => steps
        .filter(({ stations }) => stations.includes(String(id)))
        .map(({ seconds }) => ({ program, minutes: days.weekdays.length * starts.length * seconds / 60 })));
      own.slice(1).forEach(({ program }) => second.add(program));
      const minutes = own.reduce((sum, one) => sum + one.minutes, 0);
      expect(minutes).toBeGreaterThan(0);
      const station = asked.stations[at];
      station.program = own[0].program;
      station.keyed_mm_per_day = minutes / 7 / 60 * Number(rate.text) / station.multiplier;
    });
    const [{ ok }] = lines([{ ...asked, base_month: month }]);
    const shown = await year.locator('tbody tr').evaluateAll((list) => list.map((row) => (
      [...row.querySelectorAll('.percent')].map((cell) => cell.textContent))));
    // Beyond what the plan holds to, or the panel takes, it is marked.
    const holds = answer.holds_to_percent;
    const marked = ({ percent, beyond_panel: beyond }) => `${percent}${beyond || percent > holds ? '!' : ''}`;
    const first = (list) => list.filter((_, program) => !second.has(program));
    expect(first(shown[0]).length).toBeGreaterThan(0);
    expect(shown.map(first)).toEqual(ok.months.map(({ programs }) => first(programs.map(marked))));
    expect(shown.flat().some((one) => one.endsWith('!'))).toBe(month !== 7 && !et);
    // In a hot year more of the same minutes is wanted; card and reminders keep the usual one.
    await pocket.tap(pocket.key('hot year'));
    await expect(year).toContainText('keep the usual year');
    const [{ ok: hot }] = lines([{ ...asked, base_month: month, et_times: 1.1 }]);
    await expect.poll(async () => first(await year.locator('tbody tr').nth(6).locator('.percent').allTextContents()))
      .toEqual(first(hot.months[6].programs.map(marked)));
    const file = await given(page, () => pocket.tap(pocket.key('Reminders for the calendar')));
    const summaries = new ICAL.Component(ICAL.parse(file.text)).getAllSubcomponents('vevent').map((one) => new ICAL.Event(one).summary);
    ok.months.forEach(({ programs }, at) => expect(summaries[at]).toContain(`A ${programs[0].percent} %`));
    // What is no percentage is said, and the usual one counts.
    await year.getByLabel('Evaporation more by, %').fill('abc');
    await expect(year.getByLabel('Evaporation more by, %')).toHaveAttribute('aria-invalid', 'true');
    await expect(year).toContainText('A number from 0 to 100; until then 10 counts.');
    await pocket.tap(pocket.key('Papers'));
    await pocket.tap(page.locator('.papers .row', { hasText: 'Card' }));
    const card = page.locator('.paper');
    await expect(card).toContainText(`100 % = the minutes above, planned for ${name.slice(0, 3)}`);
    const table = await card.locator('.percents tbody tr').evaluateAll((list) => list.map((row) => (
      [...row.cells].slice(1).map((cell) => cell.textContent))));
    expect(first(table)).toEqual(first(ok.months[0].programs.map((_, program) => ok.months.map(({ programs }) => marked(programs[program])))));
  });
}

test('who wants nothing in the base month takes nothing away from the others', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  await page.getByLabel('Run times are for').selectOption('May');
  await expect(page.locator('.year')).toContainText('In May these want nothing, so no percent waters them: court shrubs.');
  const may = (await rows(page))[4];
  expect(may[1]).toBe('100');
  expect(may[2]).toBe('–');
});

test('reminders are read by another calendar reader', async ({ pocket }) => {
  const { page } = pocket;
  await hold(page, example());
  await pocket.tap(pocket.key('Year'));
  const shown = await rows(page);
  const file = await given(page, () => pocket.tap(pocket.key('Reminders for the calendar')));
  expect(file.name).toBe('drycurb-Marrow-Court-invented-reminders.ics');
  const calendar = new ICAL.Component(ICAL.parse(file.text));
  const events = calendar.getAllSubcomponents('vevent').map((one) => new ICAL.Event(one));
  expect(events).toHaveLength(12);
  events.forEach((event, at) => {
    expect(event.startDate.isDate).toBe(true);
    expect([event.startDate.month, event.startDate.day]).toEqual([at + 1, 1]);
    expect(event.isRecurring()).toBe(true);
    expect(event.summary).toContain(`A ${shown[at][1]} %, B ${shown[at][2]} %, C ${shown[at][3]} %`);
  });
  const uids = (text) => [...text.matchAll(/^UID:(.*)\r$/gm)].map(([, uid]) => uid);
  const first = uids(file.text);
  expect(new Set(first).size).toBe(12);
  // Made again, also on a phone that the site was taken to, it moves the events a calendar has (RFC 5545, 3.8.4.7).
  const again = async () => uids((await given(page, () => pocket.tap(pocket.key('Reminders for the calendar')))).text);
  expect(await again()).toEqual(first);
  await hold(page, await pocket.saved());
  expect(await again()).toEqual(first);
  // Another site is another site, under whatever number of its phone.
  const other = example();
  other.sites[0].name = 'Elder Row (invented)';
  await hold(page, other);
  expect((await again()).filter((uid) => first.includes(uid))).toEqual([]);
});

for (const [theme, language] of [['light', 'en'], ['dark', 'es'], ['sun', 'en']]) {
  test(`accessible, and nothing wider than the phone: ${theme}, ${language}`, async ({ pocket }) => {
    const { page } = pocket;
    const document = example();
    Object.assign(document.prefs, { theme, language });
    await hold(page, document);
    await pocket.tap(pocket.key(language === 'es' ? 'Año' : 'Year'));
    await page.locator('.months').first().waitFor();
    expect(await cutNarrow(page, '.year', 'svg, .wide')).toEqual([]);
    await page.locator('#source summary').click();
    await page.locator('[data-do=months]').last().click();
    await page.locator('[data-in=own_et]').first().fill('1 2 3 x');
    expect(await cutNarrow(page, '.year', 'svg, .wide')).toEqual([]);
    expect(await axe(page, '.year')).toEqual([]);
  });
}

test('the places that come later are there without a network', async ({ browser }) => {
  const server = await serve(DIST);
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(server.address);
  await page.getByRole('heading', { name: 'Drycurb' }).waitFor();
  await expect(page.locator('html')).toHaveAttribute('data-offline', 'all', { timeout: 30_000 });
  await server.stop();
  await hold(page, example());
  for (const place of ['Year', 'Papers']) {
    await page.getByRole('button', { name: place, exact: true }).click();
    await expect(page.locator('main h2')).toContainText('Marrow Court (invented)');
  }
  await context.close();
});
