// The Night: from flows and supplies to a week's programs that the native program gives too; their replay; and what is
// keyed now, with everything that is wrong with it.
import { ROOT, expect, lines, test } from './page.mjs';

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
const lastAsked = (page) => page.evaluate(() => window.asked.at(-1));

const clock = (start, second) => {
  const [hours, minutes] = start.split(':').map(Number);
  const minute = hours * 60 + minutes + Math.ceil(second / 60);
  return `${String(Math.floor(minute / 60) % 24).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;
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
  await pocket.tap(pocket.key('Plan the week'));
  await expect(page.locator('.span')).toHaveText(/^22:00 to \d\d:\d\d$/);
  // The same week, asked natively.
  const request = await lastAsked(page);
  const [{ ok }] = lines([request]);
  expect(ok.verified).toBe(true);
  const first = ok.nights[0].keyed;
  expect(await page.locator('.span').innerText()).toBe(`22:00 to ${clock('22:00', first.finish_second)}`);
  await expect(page.locator('.night-picture .run')).toHaveCount(first.runs.length);
  await pocket.tap(page.locator('summary', { hasText: 'Runs of the night' }));
  const rows = await page.locator('.night details tbody tr').allInnerTexts();
  expect(rows.length).toBe(new Set(first.runs.map((run) => run.station)).size);
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
  // A run tells its reason.
  await page.locator('.night-picture .run').first().click();
  await expect(page.locator('.reason')).toContainText('run 1 of');
  // What is to be keyed, and what is ticked, outlive the page.
  await page.reload();
  await pocket.tap(pocket.key('Night'));
  await expect(page.locator('.programs')).toContainText(`2 of ${ok.entries} entries keyed.`);
  await expect(page.locator('.programs input[type=checkbox]').nth(2)).toBeChecked();
});

test('the replay of chosen dates shows every run as planned, and what a clock change does', async ({ pocket }) => {
  const { page } = pocket;
  await threeStations(pocket);
  await flows(page, '40', '30', '20');
  await pocket.type('What the supply can carry', '60');
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.span').waitFor();
  await listen(page);
  await page.getByLabel('First night').fill('2026-10-20');
  await pocket.tap(pocket.key('Replay'));
  await expect(page.locator('.replay')).toContainText('every run as planned.');
  await expect(page.locator('.replay')).toContainText('Nothing overlaps');
  const [{ ok }] = lines([await lastAsked(page)]);
  expect(ok.findings).toEqual([]);
  await page.getByLabel('The clock changes on').fill('2026-10-25');
  await page.locator('#clock-0').selectOption('One hour back at 03:00');
  await pocket.type('Water from', '02:15');
  await pocket.tap(pocket.key('Plan the week'));
  await expect(page.locator('.span')).toHaveText(/^02:15/);
  await pocket.tap(pocket.key('Replay'));
  await expect(page.locator('.replay [aria-live]')).not.toBeEmpty();
  const [changed] = lines([await lastAsked(page)]);
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
  await pocket.tap(pocket.key('Plan the week'));
  const night = page.locator('.night');
  await expect(night).toContainText('Front bank cannot be watered: it draws more than its supply carries.');
  await pocket.type('Water from', '25:00');
  await expect(night).toContainText('A time of day, 00:00 to 23:59.');
  await expect(pocket.key('Plan the week')).toHaveCount(0);
});

test('a bad present program is typed in fast and found out', async ({ pocket }) => {
  const { page } = pocket;
  await threeStations(pocket);
  await flows(page, '40', '30', '20');
  await pocket.type('What the supply can carry', '45');
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.span').waitFor();
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
  await page.keyboard.press('Enter');
  await expect(page.locator('.keying input').nth(2)).toBeFocused();
  await pocket.tap(page.locator('.keying li').nth(1).getByRole('button'));
  await expect(page.locator('.keying input').nth(1)).toHaveValue('30');
  await expect(page.locator('.keying input').nth(2)).toBeFocused();
  await pocket.tap(pocket.key('Find what is wrong'));
  const found = page.locator('.found');
  await expect(found).toContainText('Program A starts again while it still runs');
  await expect(found).toContainText('outside the hours');
  await expect(found).toContainText('Front bank: about');
  await expect(found).toContainText('Shrubs stands in no program');
  // The same answer natively.
  const request = await lastAsked(page);
  const [{ ok }] = lines([request]);
  await pocket.tap(found.locator('summary'));
  const minutes = await found.locator('tbody tr td:nth-child(2)').allInnerTexts();
  expect(minutes).toEqual(ok.now.stations.map((station) => station.week_minutes.toFixed(0)));
  const planned = await found.locator('tbody tr td:nth-child(3)').allInnerTexts();
  expect(planned).toEqual(ok.plan.stations.map((station) => station.week_minutes.toFixed(0)));
  await page.reload();
  await pocket.tap(pocket.key('Night'));
  await pocket.tap(pocket.key('What is keyed now'));
  await expect(page.locator('.keying input').nth(0)).toHaveValue('30');
  await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-now-360.png`, fullPage: true });
});
