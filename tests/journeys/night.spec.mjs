// The Night: from flows and supplies to a week's programs that the native program gives too; their replay; and what is
// keyed now, with everything that is wrong with it.

import { ROOT, axe, cut, expect, keystrokes, lines, speak, test } from './page.mjs';

const keep = async (pocket, name, soil, slope, rate) => {
  await pocket.tap(pocket.key('New station'));
  await pocket.give({ soil, slope, rate });
  await pocket.type('Name of the station', name);
  await pocket.tap(pocket.page.locator('.keep .main').last());
};

const threeStations = async (pocket) => {
  await keep(pocket, 'Front bank', 'Clay loam', '8', '38');
  await keep(pocket, 'Oval', 'Loam', '2', '25');
  await keep(pocket, 'Shrubs', 'Sandy loam', '0', '12');
  await pocket.tap(pocket.key('Night'));
};

const flows = async (page, ...list) => {
  for (const [at, flow] of list.entries()) await page.locator('.flows li input').nth(at).fill(flow);
};

/** Keeps every request that the page makes of its worker. */
const listen = (page) => page.evaluate(() => {
  const { ask } = window.drycurb;
  window.asked = [];
  window.drycurb.ask = (request, answered) => { window.asked.push(request); return ask(request, answered); };
});
const lastAsked = (page, ask) => page.evaluate((name) => window.asked.findLast((one) => one.ask === name), ask);

const plan = async (pocket) => {
  await pocket.tap(pocket.key('Plan the week'));
  await expect(pocket.key('Stop')).toHaveCount(0, { timeout: 120_000 });
  await pocket.page.locator('.span').waitFor();
};

/** Opens the hours, which a plan folds. */
const hours = (pocket) => pocket.tap(pocket.page.locator('summary', { hasText: 'Hours and supplies' }));

const clock = (start, second) => {
  const [hours, minutes] = start.split(':').map(Number);
  const minute = hours * 60 + minutes + Math.ceil(second / 60);
  return `${String(Math.floor(minute / 60) % 24).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;
};

// A site as it may stand in a phone after a walk; invented.
const SOILS = [['clay_loam', 8, 38, 40], ['loam', 2, 25, 30], ['sandy_loam', 0, 12, 20], ['clay', 4, 15, 26]];
const number = (text) => ({ text: String(text), units: 'si' });
const siteOf = (count, more = {}, facts = {}) => {
  const supplies = [{ id: 1, name: 'West', facts: { numbers: { capacity: number(count > 40 ? 400 : 90) } } }];
  if (count > 40) supplies.push({ id: 2, name: 'East', facts: { numbers: { capacity: number(400) } } });
  const kept = [];
  for (let id = 1; id <= count; id += 1) {
    const [soil, slope, rate, flow] = SOILS[id % 4];
    const numbers = { slope: number(slope), rate: number(rate), rate_flow: number(flow) };
    kept.push({ id, name: `Station ${id}`, site: 1, supply: 1 + (id % supplies.length), draft: { soil, numbers } });
  }
  const site = { id: 1, name: 'Marrow Court', supplies, facts: { numbers: {}, ...facts }, ...more };
  return { version: 2, prefs: { units: 'si' }, draft: {}, site: 1, kept, deleted: [], sites: [site] };
};
let begun = 999;
const begin = async (pocket, document) => {
  begun += 1000;
  await pocket.page.evaluate((text) => localStorage.setItem('drycurb.page', text), `${begun}\n${JSON.stringify(document)}`);
  await pocket.page.reload();
  await pocket.tap(pocket.key('Night'));
};

test('kept stations, their flows and a supply give the week, its picture and the programs to key', async ({ pocket }) => {
  const { page } = pocket;
  const night = page.locator('.night');
  await pocket.tap(pocket.key('Night'));
  await expect(night).toContainText('No stations yet.');
  await pocket.tap(pocket.key('Pocket'));
  await threeStations(pocket);
  await expect(night).toContainText('the flow is missing: Front bank, Oval, Shrubs.');
  await flows(page, '40', '30');
  await expect(night).toContainText('the flow is missing: Shrubs.');
  await expect(night).toContainText('Give what Supply 1 can carry.');
  await flows(page, '40', '30', '20');
  await pocket.type('What the supply can carry', '60');
  await listen(page);
  await plan(pocket);
  await expect(page.locator('.span')).toHaveText(/^22:00 to \d\d:\d\d$/);
  // The same week, asked natively.
  const [{ ok }] = lines([await lastAsked(page, 'week')]);
  expect(ok.verified).toBe(true);
  const first = ok.nights.map((night) => night.keyed).sort((a, b) => b.finish_second - a.finish_second)[0];
  // What would help is asked for by itself.
  await expect.poll(() => lastAsked(page, 'night')).toBeTruthy();
  const [help] = lines([await lastAsked(page, 'night')]);
  const gains = help.ok.suggestions.filter((one) => one.gained_seconds >= 60).slice(0, 2);
  expect(gains.length).toBeGreaterThan(0);
  await expect(night.getByText(/could end it/)).toHaveCount(gains.length);
  expect(await page.locator('.span').innerText()).toBe(`22:00 to ${clock('22:00', first.finish_second)}`);
  await expect(page.locator('.night-picture .run')).toHaveCount(first.runs.length);
  // The facts are folded, and the answer is what is looked at.
  await expect(page.locator('.span')).toBeFocused();
  await expect(page.locator('.span')).toBeInViewport();
  for (const facts of await page.locator('.night-facts').all()) expect(await facts.getAttribute('open')).toBeNull();
  await pocket.tap(page.locator('summary', { hasText: 'Runs of the night' }));
  const rows = await page.locator('.runs tbody tr').allInnerTexts();
  expect(rows.length).toBe(new Set(first.runs.map((run) => run.station)).size);
  // What limits it, for which month, and each run by the keyboard.
  await expect(night).toContainText(/The (flow of Supply 1 decides|runs and soaks of .* decide) when the night ends\./);
  await expect(night).toContainText(/Minutes for [A-Z][a-z]+, reference ET 5\s*mm\/d\./);
  await expect(page.locator('.runs button')).toHaveCount(first.runs.length);
  await page.locator('.runs button').last().focus();
  await page.keyboard.press('Enter');
  await expect(page.locator('.reason')).toContainText(/Supply 1 then gives [\d.]+ of 60\s*L\/min\./);
  await expect(page.locator('.runs button').last()).toHaveAttribute('aria-pressed', 'true');
  // Every entry has its tick, and there are as many as the planner counts.
  const ticks = page.locator('.programs input[type=checkbox]');
  await expect(ticks).toHaveCount(ok.entries);
  await expect(page.locator('.programs')).toContainText(`0 of ${ok.entries} entries keyed.`);
  for (const start of ok.programs.flatMap((program) => program.starts)) {
    await expect(page.locator('.programs')).toContainText(`Start ${start}`);
  }
  for (const name of ['Front bank', 'Oval', 'Shrubs']) await expect(page.locator('.programs')).toContainText(name);
  await ticks.nth(0).check();
  await ticks.nth(2).check();
  await expect(page.locator('.programs')).toContainText(`2 of ${ok.entries} entries keyed.`);
  // A tick tells the ear its minutes.
  const { stations, seconds } = ok.programs[0].steps[0];
  const names = stations.map((id) => `${id} · ${['Front bank', 'Oval', 'Shrubs'][id - 1]}`).join(' + ');
  await expect(page.getByRole('checkbox', { name: `Program A 1 ${names}, ${seconds / 60} min`, exact: true })).toBeVisible();
  // A run tells its reason, also to a thumb that falls beside it: the nearest one of the row.
  await page.locator('.night-picture .run').first().click();
  await expect(page.locator('.reason')).toContainText('run 1 of');
  const last = page.locator('.night-picture .run').nth(first.runs.length - 1);
  await last.scrollIntoViewIfNeeded();
  const box = await last.boundingBox();
  await page.mouse.click(box.x + box.width + 8, box.y + box.height / 2);
  await expect(last).toHaveClass('run on');
  // What is to be keyed, and what is ticked, outlive the page.
  const said = await page.locator('.outcome').innerText();
  await page.reload();
  // The place that was open is open again, with the picture, the table and all that was said, what would help too.
  await expect(page.locator('.programs')).toContainText(`2 of ${ok.entries} entries keyed.`);
  await expect(page.locator('.programs input[type=checkbox]').nth(2)).toBeChecked();
  await expect(page.locator('.night-picture .run')).toHaveCount(first.runs.length);
  expect(await page.locator('.outcome').innerText()).toBe(said);
  await expect(night.getByText(/could end it/)).toHaveCount(gains.length);
  await expect(night).not.toContainText('The facts were changed');
  // What it rests on is changed: that is said at the picture and where it is keyed, after a reload too.
  await pocket.tap(page.locator('summary', { hasText: 'Flow of each station' }));
  await flows(page, '41');
  await expect(page.locator('.programs')).toContainText('The facts were changed since this was planned');
  await page.reload();
  await expect(page.locator('.programs')).toContainText('The facts were changed since this was planned');
  await expect(page.locator('.outcome')).toContainText('The facts were changed since this was planned');
});

test('stations too fast for their ground are said, a few by name, with the way on', async ({ pocket }) => {
  const { page } = pocket;
  const night = page.locator('.night');
  // Which of them the native program calls so, at the ground of the first four and of the others.
  const asked = [['clay', 24, 38], ['loam', 2, 25]];
  const [fast, slow] = lines(asked.map(([soil, slope, rate]) => (
    { ask: 'cycle', soil, slope_percent: slope, precipitation_mm_per_h: rate })));
  expect([fast.ok.too_fast, slow.ok.too_fast]).toEqual([true, false]);
  const of = (fasts) => {
    const site = siteOf(6);
    site.kept.forEach((kept, at) => {
      const [soil, slope, rate] = asked[at < fasts ? 0 : 1];
      kept.draft = { soil, numbers: { slope: number(slope), rate: number(rate), rate_flow: number(20) } };
    });
    return site;
  };
  const said = 'Too fast for the ground even in short runs, so water runs off: Station 1, Station 2, Station 3';
  await begin(pocket, of(5));
  await expect(night).toContainText(`${said} and 2 more. Open one in the Site`);
  await expect(pocket.key('To the site')).toBeVisible();
  // It is planned all the same.
  await expect(pocket.key('Plan the week')).toBeVisible();
  await speak(page, 'es');
  await expect(night).toContainText('riegos cortos, y el agua escurre: Station 1, Station 2, Station 3 y 2 más.');
  await begin(pocket, of(3));
  await expect(night).toContainText(`${said}. Open one in the Site`);
  await begin(pocket, of(0));
  await expect(night).toContainText('Hours and supplies');
  await expect(night).not.toContainText('Too fast');
  await expect(pocket.key('To the site')).toHaveCount(0);
});

test('the rows of the night stand in the order of the site', async ({ pocket }) => {
  const { page } = pocket;
  const site = siteOf(12);
  site.kept.push(...site.kept.splice(0, 5));
  await begin(pocket, site);
  await plan(pocket);
  const rows = await page.locator('.night-picture .rows text').allTextContents();
  expect(rows.length).toBeGreaterThan(5);
  // Each behind its number on the panel, which is its place in the site.
  expect(rows).toEqual(site.kept.map((kept, at) => `${at + 1} · ${kept.name}`).filter((name) => rows.includes(name)));
  // A run is tapped in its own row.
  const second = page.locator('.night-picture .run').nth(1);
  // Read at once: what would help may come meanwhile and push the picture down.
  const at = await second.evaluate((run) => {
    const { top } = run.getBoundingClientRect();
    return [...document.querySelectorAll('.night-picture .rows text')]
      .findLastIndex((name) => name.getBoundingClientRect().top <= top);
  });
  await second.dispatchEvent('click');
  await expect(page.locator('.reason')).toContainText(`${rows[at].split(' · ')[1]}, run `);
  await pocket.tap(page.locator('summary', { hasText: 'Runs of the night' }));
  expect(await page.locator('.runs tbody th').allInnerTexts()).toEqual(rows);
});

test('a station that was deleted since is named so in the programs', async ({ pocket }) => {
  const { page } = pocket;
  await begin(pocket, siteOf(3));
  await plan(pocket);
  await pocket.tap(pocket.key('Site'));
  await pocket.tap(page.locator('#row-2 [data-do=open], #row-2 button').first());
  await pocket.tap(page.locator('.beside [data-do=delete]').first());
  await page.reload();
  await pocket.tap(pocket.key('Night'));
  await expect(page.locator('.programs')).toContainText('Station 2 (deleted)');
  await expect(page.locator('.programs')).toContainText('The facts were changed since this was planned');
});

test('a plan without a run says why, and nothing else', async ({ pocket }) => {
  const { page } = pocket;
  const site = siteOf(1);
  site.sites[0].supplies[0].facts.numbers.capacity = number(10);
  await begin(pocket, site);
  await pocket.tap(pocket.key('Plan the week'));
  const head = page.locator('.outcome h3');
  await expect(head).toHaveText('Nothing can be watered as it stands.');
  await expect(head).toBeFocused();
  const night = page.locator('.night');
  await expect(night).toContainText('Station 1 cannot be watered: it draws more than its supply carries.');
  await expect(page.locator('.night-picture, .programs, .replay')).toHaveCount(0);
  await page.reload();
  await expect(night).toContainText('Station 1 cannot be watered: it draws more than its supply carries.');
  expect(await axe(page)).toEqual([]);
});

test('times are typed and shown as the reader of gallons knows them', async ({ pocket }) => {
  const { page } = pocket;
  const site = siteOf(3);
  site.prefs.units = 'us';
  await begin(pocket, site);
  await hours(pocket);
  const from = page.locator('#window-0');
  await from.fill('25:00');
  await expect(from).toHaveAttribute('aria-invalid', 'true');
  await expect(from).toHaveAccessibleDescription('A time of day: 22:00, 2200 or 10 pm.');
  await from.fill('10:30 pm');
  await expect(from).not.toHaveAttribute('aria-invalid');
  await plan(pocket);
  await expect(page.locator('.span')).toHaveText(/^10:30\sPM to \d+:\d\d\s[AP]M$/);
  await expect(page.locator('.programs')).toContainText(/Start 10:30\sPM/);
  await pocket.tap(pocket.key('What is keyed now'));
  await pocket.tap(pocket.key('Add program A'));
  const starts = page.locator('#starts-0');
  await expect(starts).toBeFocused();
  await starts.fill('10px');
  await expect(starts).toHaveAttribute('aria-invalid', 'true');
  await expect(starts).toHaveAccessibleDescription(/^Up to eight times of day/);
  await starts.fill('10pm 11:30 PM');
  await expect(starts).not.toHaveAttribute('aria-invalid');
  await pocket.tap(pocket.key('Add program B'));
  await expect(page.locator('#now-0')).toContainText(/10:00\sPM 11:30\sPM/);
  await expect(page.locator('#percent-1')).toHaveAttribute('inputmode', 'numeric');
});

test('more is not planned in silence than meter and pipe let through', async ({ pocket }) => {
  const { page } = pocket;
  const site = siteOf(2);
  site.sites[0].supplies[0].meter = '3/4';
  await begin(pocket, site);
  // AWWA C700, 3/4 inch: 15 gal/min for hours.
  await expect(page.locator('.night')).toContainText(/West is planned with 90\sL\/min, but no more than 56\.8\sL\/min can come/);
});

test.describe('a phone in Denver in November', () => {
  test.use({ timezoneId: 'America/Denver' });
  test('the dawn of a night in July is told in summer time', async ({ pocket }) => {
    const { page } = pocket;
    await page.addInitScript(() => {
      const ahead = new Date('2026-11-25T12:00:00-07:00') - Date.now();
      window.Date = class extends Date {
        constructor(...given) { super(...(given.length ? given : [Date.now() + ahead])); }
      };
    });
    await begin(pocket, siteOf(2, {}, { climate: { place: 'Denver' }, month: 7 }));
    await plan(pocket);
    // NOAA's solar calculator, Denver, 2 July: 5:36 with daylight saving time; from memory.
    await expect(page.locator('.night')).toContainText(/Sunrise 05:3\d\./);
    await expect(page.locator('.night')).toContainText('Minutes for July');
    await expect(page.getByLabel('First night')).toHaveValue('2027-07-01');
    await expect(page.locator('#nights-0')).toHaveValue('14');
    await pocket.tap(pocket.key('Replay'));
    await expect(page.locator('.replay h3').nth(1)).toHaveText(/^\d+ of 14 nights water, every run as planned\.$/);
  });
});

test.describe('where a site lies', () => {
  const latitude = (page) => page.getByLabel('Latitude');
  const longitude = (page) => page.getByLabel('Longitude');
  const toPosition = (pocket) => pocket.tap(pocket.page.locator('.night').getByRole('button', { name: 'Position of the site' }));
  const first = async (pocket) => new Date(`${(await pocket.saved()).sites[0].planned.answer.nights[0].first}T12:00Z`);
  /** The sun of the morning after the first night, as the native program has it. */
  const sun = async (pocket, [latitude_degrees, longitude_degrees], utc_offset_minutes) => {
    const morning = new Date((await first(pocket)).getTime() + 86_400_000).toISOString().slice(0, 10);
    const [{ ok }] = lines([{ ask: 'sun', date: morning, latitude_degrees, longitude_degrees, utc_offset_minutes }]);
    return ok;
  };

  test('latitude and longitude decide the dawn, in the hour of the date', async ({ pocket }) => {
    const { page } = pocket;
    await begin(pocket, siteOf(2, {}, { month: 7 }));
    await plan(pocket);
    await expect(page.locator('.night')).toContainText('Sunrise is not known');
    await toPosition(pocket);
    await expect(page.locator('.beside h2')).toHaveText('Climate');
    await latitude(page).fill('95');
    await expect(latitude(page)).toHaveAccessibleDescription('From -90 to 90 °.');
    await expect(latitude(page)).toHaveAttribute('aria-invalid', 'true');
    await longitude(page).fill('-108,25');
    await expect(longitude(page)).toHaveAccessibleDescription('read as -108.25°');
    await pocket.tap(pocket.key('Night'));
    await expect(page.locator('.night')).toContainText('Sunrise is not known');
    await toPosition(pocket);
    await latitude(page).fill('47.5');
    await pocket.tap(pocket.key('Night'));
    // The phone stands in Denver: in July its clock is six hours behind.
    const [hours, minutes, seconds] = (await sun(pocket, [47.5, -108.25], -360)).sunrise.split(':').map(Number);
    const minute = 60 * hours + minutes + Math.round(seconds / 60);
    const shown = `Sunrise ${clock('00:00', 60 * minute)}.`;
    await expect(page.locator('.night')).toContainText(shown);
    await expect(page.locator('.night-picture path.dawn').first()).toBeAttached();
    await expect(page.getByRole('button', { name: 'Position of the site' })).toHaveCount(0);
    // It stays, and goes before the climate's place.
    await page.reload();
    await pocket.tap(pocket.key('Night'));
    await expect(page.locator('.night')).toContainText(shown);
    const site = siteOf(2, {}, { month: 7, climate: { place: 'London' }, numbers: { latitude: number(47.5), longitude: number(-108.25) } });
    await begin(pocket, site);
    await plan(pocket);
    await expect(page.locator('.night')).toContainText(shown);
  });

  test('where the sun does not rise the plan is made, and the hours count', async ({ pocket }) => {
    const { page } = pocket;
    const numbers = { latitude: number(71), longitude: number(25) };
    await begin(pocket, siteOf(2, {}, { month: 6, numbers }));
    await plan(pocket);
    expect((await sun(pocket, [71, 25], 120)).polar).toBe('day');
    await expect(page.locator('.night')).toContainText('The sun does not rise or set here now; the hours given count.');
    await expect(page.locator('.night-picture .run').first()).toBeVisible();
    await expect(page.locator('path.dawn')).toHaveCount(0);
    await toPosition(pocket);
    await expect(latitude(page)).toHaveValue('71');
    await latitude(page).fill('60');
    await pocket.tap(pocket.key('Night'));
    await expect(page.locator('.night')).toContainText(/Sunrise 0\d:\d\d\./);
  });

  const fact = async (pocket) => {
    await begin(pocket, siteOf(2));
    await pocket.tap(pocket.key('Site'));
    await pocket.tap(pocket.key('Facts'));
    await pocket.tap(pocket.page.getByRole('button', { name: 'Climate' }));
  };
  const refused = 'The phone gave no position. Type it, or try again outdoors.';

  test('the phone gives a position when it is asked, to two decimals', async ({ pocket, context }) => {
    const { page } = pocket;
    await context.grantPermissions(['geolocation']);
    await context.setGeolocation({ latitude: -43.987654, longitude: 171.123456 });
    await fact(pocket);
    await expect(latitude(page)).toHaveValue('');
    await pocket.tap(pocket.key("Take the phone's position"));
    await expect(latitude(page)).toHaveValue('-43.99');
    await expect(longitude(page)).toHaveValue('171.12');
    const { numbers } = (await pocket.saved()).sites[0].facts;
    expect([numbers.latitude.text, numbers.longitude.text]).toEqual(['-43.99', '171.12']);
  });

  test('a phone that refuses its position says so, and it can be typed', async ({ pocket, context }) => {
    const { page } = pocket;
    await context.clearPermissions();
    await fact(pocket);
    await pocket.tap(pocket.key("Take the phone's position"));
    await expect(page.getByRole('alert')).toHaveText(refused);
    expect((await pocket.saved()).sites[0].facts.numbers?.latitude).toBeUndefined();
    await latitude(page).fill('45');
    await expect(latitude(page)).toHaveAccessibleDescription('read as 45°');
    // Allowed, but without a fix: what was typed stays.
    await pocket.tap(pocket.key('Done'));
    await pocket.tap(page.getByRole('button', { name: 'Climate' }));
    await expect(page.getByRole('alert')).toHaveCount(0);
    await context.grantPermissions(['geolocation']);
    await context.setGeolocation(null);
    await pocket.tap(pocket.key("Take the phone's position"));
    await expect(page.getByRole('alert')).toHaveText(refused);
    await expect(latitude(page)).toHaveValue('45');
  });
});

test('of many rows the picture says that more follow; of few all are there', async ({ pocket }) => {
  const { page } = pocket;
  await begin(pocket, siteOf(24));
  await plan(pocket);
  const tall = () => page.locator('.night-picture').evaluate((node) => [node.scrollHeight - node.clientHeight, node.clientHeight]);
  expect((await tall())[0]).toBeLessThanOrEqual(1);
  // What a run of the lowest row tells is in sight beside it, below the head of the page.
  const low = page.locator('.night-picture .run').nth(await page.locator('.night-picture .run').evaluateAll((all) => {
    const tops = all.map((run) => run.getBoundingClientRect().top);
    return tops.indexOf(Math.max(...tops));
  }));
  await low.scrollIntoViewIfNeeded();
  await low.dispatchEvent('click');
  await page.evaluate(() => scrollBy(0, 250));
  await expect(page.locator('.reason')).toContainText(', run ');
  const [head, told] = await page.evaluate(() => ['.strip', '.reason'].map((name) => document.querySelector(name).getBoundingClientRect()));
  expect(told.top).toBeGreaterThanOrEqual(head.bottom - 1);
  expect(told.bottom).toBeLessThan(740);
  await begin(pocket, siteOf(30));
  await plan(pocket);
  await expect(page.locator('.shown')).toContainText('30 stations: the picture scrolls up and down too.');
  expect((await tall())[0]).toBeGreaterThan(1);
});

test('the replay of chosen dates shows every run as planned, and what a clock change does', async ({ pocket }) => {
  const { page } = pocket;
  await threeStations(pocket);
  await flows(page, '40', '30', '20');
  await pocket.type('What the supply can carry', '60');
  await plan(pocket);
  await listen(page);
  await page.getByLabel('First night').fill('2026-10-20');
  await pocket.tap(pocket.key('Replay'));
  await expect(page.locator('.replay')).toContainText('every run as planned.');
  await expect(page.locator('.replay')).toContainText('Nothing overlaps');
  const [{ ok }] = lines([await lastAsked(page, 'replay')]);
  expect(ok.findings).toEqual([]);
  await page.getByLabel('The clock changes on').fill('2026-10-25');
  await page.locator('#clock-0').selectOption('One hour back at 03:00');
  await hours(pocket);
  await pocket.type('Water from', '02:15');
  await plan(pocket);
  await expect(page.locator('.span')).toHaveText(/^02:15/);
  await pocket.tap(pocket.key('Replay'));
  await expect(page.locator('.replay [aria-live]')).not.toBeEmpty();
  const [changed] = lines([await lastAsked(page, 'replay')]);
  const kinds = changed.ok.findings.map(({ kind }) => kind);
  expect(kinds).toContain('start_repeated_by_clock');
  await expect(page.locator('.replay')).toContainText('The clock repeats a start');
});

test('a station the supply cannot carry, and hours too short, are said plainly', async ({ pocket }) => {
  const { page } = pocket;
  await threeStations(pocket);
  await flows(page, '90', '50', '20');
  await pocket.type('What the supply can carry', '60');
  await pocket.type('Most valves open at once', '1');
  await pocket.type('Hours until it must be over', '0,5');
  await plan(pocket);
  const night = page.locator('.night');
  await expect(night).toContainText('Front bank cannot be watered: it draws more than its supply carries.');
  await hours(pocket);
  await pocket.type('Water from', '25:00');
  await expect(night).toContainText('A time of day: 22:00, 2200 or 10 pm.');
  await expect(pocket.key('Plan the week')).toHaveCount(0);
});

test('a bad present program is typed in fast and found out', async ({ pocket }) => {
  const { page } = pocket;
  await threeStations(pocket);
  await flows(page, '40', '30', '20');
  await pocket.type('What the supply can carry', '45');
  await plan(pocket);
  await listen(page);
  await pocket.tap(pocket.key('What is keyed now'));
  await pocket.tap(pocket.key('Add program A'));
  await pocket.type('Start times', '2200 2230 0700');
  for (const day of ['Mon', 'Wed', 'Fri']) await pocket.tap(page.getByLabel(day, { exact: true }));
  // Minutes go one after another by Enter.
  await page.locator('.keying input').first().focus();
  await page.keyboard.type('30');
  await page.keyboard.press('Enter');
  await page.keyboard.type('12,5');
  await expect(page.locator('.keying li').nth(1)).toContainText('12 min 30 s');
  await page.keyboard.press('Enter');
  await expect(page.locator('.keying input').nth(2)).toBeFocused();
  await pocket.tap(page.locator('.keying li').nth(1).getByRole('button'));
  await expect(page.locator('.keying input').nth(1)).toHaveValue('30');
  await expect(page.locator('.keying input').nth(2)).toBeFocused();
  // What was removed by mistake comes back as it was typed.
  const typed = () => page.locator('.keying input').evaluateAll((all) => all.map(({ value }) => value));
  const before = await typed();
  await pocket.tap(page.locator('.program').getByRole('button', { name: 'Remove' }));
  await expect(page.locator('.program')).toHaveCount(0);
  await pocket.tap(pocket.key('Undo: put Program A back'));
  expect(await typed()).toEqual(before);
  await expect(page.getByLabel('Start times')).toHaveValue('2200 2230 0700');
  await expect(page.getByLabel('Start times')).toBeFocused();
  await expect(pocket.key('Undo: put Program A back')).toHaveCount(0);
  await pocket.tap(pocket.key('Find what is wrong'));
  const found = page.locator('.found');
  await expect(found.locator('h3')).toBeFocused();
  await expect(found).toContainText('Program A starts again while it still runs');
  await expect(found).toContainText('Outside the hours in program A: Front bank');
  await expect(found).toContainText('Front bank: about');
  await expect(found).toContainText('In no program, so without water: Shrubs.');
  // The same answer natively.
  const [{ ok }] = lines([await lastAsked(page, 'keyed')]);
  await pocket.tap(found.locator('summary'));
  const minutes = await found.locator('tbody tr td:nth-child(2)').allInnerTexts();
  expect(minutes).toEqual(ok.now.stations.map((station) => station.week_minutes.toFixed(0)));
  const planned = await found.locator('tbody tr td:nth-child(3)').allInnerTexts();
  expect(planned).toEqual(ok.plan.stations.map((station) => station.week_minutes.toFixed(0)));
  await page.reload();
  await pocket.tap(pocket.key('What is keyed now'));
  await expect(page.locator('.keying input').nth(0)).toHaveValue('30');
  await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-now-360.png`, fullPage: true });
});

test('one station, no allowed day, and a site without a place each have a plain sentence', async ({ pocket }) => {
  const { page } = pocket;
  const night = page.locator('.night');
  await begin(pocket, siteOf(1, { weekdays: 0 }));
  await expect(night).toContainText('The rules of the site leave no day to water on.');
  await expect(pocket.key('Plan the week')).toHaveCount(0);
  await expect(pocket.key('To the site')).toBeVisible();
  await begin(pocket, siteOf(1));
  await plan(pocket);
  await expect(night).toContainText('Sunrise is not known: the site has no place.');
  await expect(page.locator('.programs input[type=checkbox]').first()).toBeVisible();
});

test('closed hours, own hours and who is apart are typed in the Site and kept by the plan', async ({ pocket }) => {
  const { page } = pocket;
  const night = page.locator('.night');
  await begin(pocket, siteOf(8, { closed_from: '23:00', closed_until: '23:45' }));
  await pocket.tap(pocket.key('Site'));
  await page.locator('.site [data-do=station]').first().click();
  await page.locator('.site summary', { hasText: 'Own hours' }).click();
  await page.locator('#own-from-1').fill('02:00');
  await expect(page.locator('.site')).toContainText('Two different times of day');
  await page.locator('#own-until-1').fill('4:00');
  await expect(page.locator('.site')).not.toContainText('Two different times of day');
  await pocket.tap(page.locator('[data-do=apart-list]'));
  await page.locator('#apart-1').selectOption('Station 3');
  await page.locator('#apart-1').selectOption('Station 4');
  await pocket.tap(page.locator('[data-do=apart-away]').last());
  await expect(page.locator('.site')).toContainText('Never open together with: Station 3');
  await pocket.tap(pocket.key('Night'));
  await expect(night).toContainText('Closed hours cut the night: planned from 23:45 to 06:00');
  await listen(page);
  await plan(pocket);
  const asked = await lastAsked(page, 'week');
  expect(asked.apart).toEqual([['1', '3']]);
  expect(asked.stations[0]).toMatchObject({ from_minute: 135, until_minute: 255 });
  // No run of any night leaves its hours, none of the two beside the other.
  const [{ ok }] = lines([asked]);
  for (const { keyed } of ok.nights) {
    const of = (id) => keyed.runs.filter((run) => run.station === id);
    for (const run of keyed.runs) expect(run.start_second + run.seconds).toBeLessThanOrEqual(asked.stations[1].until_minute * 60);
    for (const run of of('1')) {
      expect(run.start_second).toBeGreaterThanOrEqual(135 * 60);
      expect(run.start_second + run.seconds).toBeLessThanOrEqual(255 * 60);
      for (const other of of('3')) {
        expect(other.start_second + other.seconds <= run.start_second || run.start_second + run.seconds <= other.start_second).toBe(true);
      }
    }
  }
  await expect(page.locator('.span')).toHaveText(/^23:45 to/);
  // Hours that touch the end of the night are marked in the picture and in its table.
  await begin(pocket, siteOf(8, { closed_from: '06:00', closed_until: '21:00' }));
  await plan(pocket);
  await expect(night).toContainText('Closed from 06:00 to 21:00 (striped): nothing runs then.');
  expect(await page.locator('.night-picture .closed').first().getAttribute('d')).toMatch(/^M28800 5H/);
  await pocket.tap(page.locator('summary', { hasText: 'Runs of the night' }));
  await expect(page.locator('.runs tbody tr').last()).toHaveText(/Closed\s*06:00–21:00/);
  await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-closed-360.png`, fullPage: true });
  // Nothing of the night is left: a sentence and a way on.
  await begin(pocket, siteOf(8, { closed_from: '20:00', closed_until: '07:00' }));
  await expect(night).toContainText('The closed hours leave nothing of the night.');
  await expect(pocket.key('Plan the week')).toHaveCount(0);
  await expect(pocket.key('To the site')).toBeVisible();
});

test('what was found wrong is marked as old when the facts it rests on change', async ({ pocket }) => {
  const { page } = pocket;
  const old = 'Something was changed since: ask again.';
  await begin(pocket, siteOf(3));
  await pocket.tap(pocket.key('What is keyed now'));
  await pocket.tap(pocket.key('Add program A'));
  await pocket.type('Start times', '22:00');
  await pocket.tap(page.getByLabel('Mon', { exact: true }));
  await page.locator('.keying input').first().fill('30');
  await pocket.tap(pocket.key('Find what is wrong'));
  await page.locator('.found').waitFor();
  await expect(page.locator('.night')).not.toContainText(old);
  await pocket.tap(pocket.key('Plan'));
  await hours(pocket);
  await pocket.type('What the supply can carry', '25');
  await pocket.tap(pocket.key('What is keyed now'));
  await expect(page.locator('.night')).toContainText(old);
});

test('in Spanish and US units a first visit ends in keyed tables that say what the planner says', async ({ pocket }) => {
  const { page } = pocket;
  const places = page.locator('nav button');
  const at = (of) => page.locator(`[data-in=number][data-of="${of}"]`);
  const half = (time) => {
    const hour = Number(time.slice(0, 2));
    return `${hour % 12 || 12}${time.slice(2)}\u00a0${hour < 12 ? 'AM' : 'PM'}`;
  };
  await speak(page, 'es');
  await page.locator('.top button').first().click();
  await places.nth(1).click();
  await page.locator('[data-do=add]').first().click();
  for (const [id, soil, slope, rate, flow] of [[1, 'clay_loam', '8', '1.5', '10.5'], [2, 'loam', '2', '1', '8'], [3, 'sandy_loam', '0', '0.5', '5.25']]) {
    if (id > 1) await page.locator('.bar [data-do=like]').click();
    await page.locator(`#soil-${id}`).selectOption(soil);
    await at(`k${id} slope`).fill(slope);
    await at(`k${id} rate`).fill(rate);
    await at(`k${id} rate_flow`).fill(flow);
  }
  await places.nth(2).click();
  const night = page.locator('.night');
  await at('p1 capacity').fill('16');
  await listen(page);
  await page.getByRole('button', { name: 'Planificar la semana', exact: true }).click();
  await page.locator('.span').waitFor({ timeout: 60_000 });
  const asked = await lastAsked(page, 'week');
  // A US gallon is 3.785411784 L (NIST SP 811, 2008), an inch 25.4 mm.
  expect(asked.stations.map((one) => one.flow_l_per_min)).toEqual([10.5, 8, 5.25].map((gpm) => expect.closeTo(gpm * 3.785411784, 6)));
  expect(asked.supplies[0].capacity_l_per_min).toBeCloseTo(16 * 3.785411784, 6);
  const [{ ok }] = lines([asked]);
  expect(ok.verified).toBe(true);
  const longest = ok.nights.map((one) => one.keyed).sort((a, b) => b.finish_second - a.finish_second)[0];
  await expect(page.locator('.span')).toHaveText(`10:00\u00a0PM a ${half(clock('22:00', longest.finish_second))}`);
  await expect(page.locator('.night-picture .under')).toContainText('16\u00a0gal/min');
  const shown = await page.locator('.programs section').evaluateAll((all) => all.map((one) => ({
    starts: [...one.querySelectorAll('label')].map((label) => label.textContent.match(/Inicio (\d+:\d\d\s[AP]M)/)?.[1]).filter(Boolean),
    minutes: [...one.querySelectorAll('td b')].map((cell) => Number(cell.textContent)),
  })));
  expect(shown).toEqual(ok.programs.map(({ starts, steps }) => ({ starts: starts.map(half), minutes: steps.map((step) => step.seconds / 60) })));
  expect(await cut(page, '.night', '.night-picture, .wide')).toEqual([]);
  await page.locator('.programs input[type=checkbox]').first().check();
  await expect(night).toContainText(`1 de ${ok.entries}`);
  await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-us-es-360.png`, fullPage: true });
});

test('two hundred stations are planned, stopped and typed in without a stutter', async ({ pocket }) => {
  test.setTimeout(240_000);
  const { page } = pocket;
  await begin(pocket, siteOf(200, { free_steps: true }, { numbers: { panel_programs: number(16) } }));
  await pocket.tap(pocket.key('Plan the week'));
  // How far it is rises; to the ear in quarters.
  const bar = page.locator('.night progress');
  const figure = page.locator('.night [data-done="1"]:not(progress)');
  await bar.waitFor();
  const seen = [];
  await expect.poll(async () => {
    seen.push(await bar.evaluate((node) => node.value));
    return new Set(seen).size;
  }, { timeout: 60_000, intervals: [100] }).toBeGreaterThan(4);
  expect(seen.slice(1).every((percent, at) => percent >= seen[at])).toBe(true);
  expect(await figure.innerText()).toMatch(/^\d+\u00a0%$/);
  expect(['0', '25', '50', '75']).toContain((await page.locator('[data-done="25"]').textContent()).replace('\u00a0%', ''));
  // What was found by then is kept, and said to be that.
  const stopped = Date.now();
  await pocket.tap(pocket.key('Stop'));
  await expect(page.locator('.night')).toContainText('Stopped early: this is the best found until then.');
  console.log(`night: 200 stations stopped at ${seen.at(-1)} %, the best so far after ${Date.now() - stopped} ms`);
  await expect(pocket.key('Plan the week')).toBeVisible();
  await expect(page.locator('.night-picture .run').first()).toBeVisible();
  await expect(page.locator('.programs input[type=checkbox]').first()).toBeVisible();
  await listen(page);
  const before = Date.now();
  await pocket.tap(pocket.key('Plan the week'));
  // Typing goes on while the worker plans.
  await pocket.tap(pocket.key('What is keyed now'));
  await pocket.tap(pocket.key('Add program A'));
  await pocket.tap(pocket.key('81–120'));
  await expect(page.getByLabel('81 · Station 81', { exact: true })).toBeFocused();
  const { changes } = await keystrokes(page.locator('.keying input').nth(20), 'among 200 rows while planning', { rounds: 10, first: 10 });
  expect(changes).toBeLessThan(6);
  // From the last row of a group Enter goes on in the next one.
  await page.getByLabel('120 · Station 120', { exact: true }).press('Enter');
  await expect(page.getByLabel('121 · Station 121', { exact: true })).toBeFocused();
  await pocket.tap(pocket.key('Plan'));
  await page.locator('.span').waitFor({ timeout: 200_000 });
  console.log(`night: 200 stations planned in ${Date.now() - before} ms`);
  const [{ ok }] = lines([await lastAsked(page, 'week')]);
  await expect(page.locator('.night-picture .run')).toHaveCount(
    ok.nights.map(({ keyed, plan }) => (ok.verified ? keyed : plan))
      .sort((a, b) => b.finish_second - a.finish_second)[0].runs.length,
  );
  const tall = await page.locator('.night-picture').evaluate((node) => [node.scrollHeight, node.clientHeight, innerHeight]);
  expect(tall[0]).toBeGreaterThan(tall[1]);
  expect(tall[1]).toBeLessThan(tall[2]);
  if (ok.verified) await expect(page.locator('.programs input[type=checkbox]')).toHaveCount(ok.entries);
  else await expect(page.locator('.programs')).toContainText('broke a rule');
  await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-200-360.png` });
});

// Every state of the place, in both languages, every theme, narrow, wide and with large text.
const states = async (pocket, look) => {
  const { page } = pocket;
  // Straight at the element: resizing for pictures leaves an emulated phone's touch points elsewhere.
  const press = (locator) => locator.evaluate((node) => node.click());
  await begin(pocket, siteOf(12, { days: 'every', tiers: [['', '2,50']], currency: '$' }, { climate: { place: 'Madrid' } }));
  await look('before');
  await plan(pocket);
  // Every sixth day: the night before belongs to a day without water.
  await expect(page.locator('.night')).toContainText('The hours begin at midnight');
  await page.locator('.night-picture .run').nth(2).dispatchEvent('click');
  await press(page.getByRole('button', { name: 'Wider' }));
  await press(page.locator('summary', { hasText: 'Runs of the night' }));
  await look('plan');
  await press(pocket.key('Replay'));
  await page.locator('.replay details').waitFor();
  await press(page.locator('.replay summary'));
  await look('replayed');
  await press(pocket.key('What is keyed now'));
  await press(pocket.key('Add program A'));
  await press(pocket.key('Add program B'));
  await pocket.type('Start times', '2200 2230 0700');
  await pocket.type('Seasonal adjustment', '400');
  await page.locator('#days-1').selectOption('Every so many days');
  for (const at of [0, 1, 2]) await page.locator('.keying input').nth(at).fill(['30', 'x', '12'][at]);
  await look('typing');
  await pocket.type('Seasonal adjustment', '');
  await page.locator('.keying input').nth(1).fill('90');
  await press(pocket.key('Find what is wrong'));
  await press(page.locator('.found summary'));
  await look('found');
};
test('axe finds nothing in any state of the night, in both languages and every theme', async ({ pocket }) => {
  test.setTimeout(150_000);
  const { page } = pocket;
  const found = [];
  await states(pocket, async (state) => {
    // Nothing is half under the bar of places.
    await page.evaluate(() => scrollTo(0, 0));
    for (const code of ['en', 'es']) {
      await speak(page, code);
      for (const theme of ['light', 'dark', 'sun']) {
        await page.evaluate((name) => window.drycurb.theme(name), theme);
        found.push(...(await axe(page)).map((breach) => `${state} ${code} ${theme}: ${breach}`));
      }
      await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-${state}-${code}-sun-360.png`, fullPage: true });
    }
    await speak(page, 'en');
  });
  expect(found).toEqual([]);
});

test('nothing of the night is cut or overflows, narrow, wide and with large text, in both languages', async ({ pocket }) => {
  test.setTimeout(150_000);
  const { page } = pocket;
  const over = [];
  await states(pocket, async (state) => {
    for (const [width, height, size] of [[360, 740, ''], [320, 740, ''], [360, 740, '212.5%'], [320, 740, '212.5%'], [1280, 800, '']]) {
      await page.setViewportSize({ width, height });
      await page.evaluate((wanted) => { document.documentElement.style.fontSize = wanted; }, size);
      for (const code of ['en', 'es']) {
        await speak(page, code);
        over.push(...(await cut(page, '.night', '.night-picture, .wide')).map((what) => `${state} ${width} ${size} ${code}: ${what}`));
        if (size === '' && width !== 320) {
          await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-${state}-${code}-${width}.png`, fullPage: true });
        }
      }
      await speak(page, 'en');
    }
    await page.evaluate(() => { document.documentElement.style.fontSize = ''; });
    await page.setViewportSize({ width: 360, height: 740 });
    expect(over).toEqual([]);
  });
  expect(over).toEqual([]);
});
