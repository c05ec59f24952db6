// The night of the kept stations: from flows and a supply to a plan that the native program gives too.
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

test('kept stations, their flows and a supply give the night', async ({ pocket }) => {
  const { page } = pocket;
  await pocket.tap(pocket.key('Night'));
  await expect(page.locator('.night')).toContainText('Keep stations in the Pocket first');
  await pocket.tap(pocket.key('Pocket'));
  await threeStations(pocket);
  await expect(page.locator('.night')).toContainText('Not planned: Front bank, Oval, Shrubs.');
  await expect(page.locator('.night')).toContainText('Give what the supply can carry');
  const flows = page.locator('.flows li');
  await flows.nth(0).locator('input').fill('40');
  await flows.nth(1).locator('input').fill('30');
  await expect(page.locator('.night')).toContainText('Not planned: Shrubs.');
  await flows.nth(2).locator('input').fill('20');
  await pocket.type('What the supply can carry', '60');
  await page.evaluate(() => {
    const { ask } = window.drycurb;
    window.asked = [];
    window.drycurb.ask = (request, answered) => { window.asked.push(request); return ask(request, answered); };
  });
  await pocket.tap(pocket.key('Plan the night'));
  await expect(page.locator('.span')).toHaveText(/^22:00 to \d\d:\d\d$/);
  const shown = await page.locator('.span').innerText();
  await pocket.tap(page.locator('summary', { hasText: 'Runs of the night' }));
  const rows = await page.locator('.night details tbody tr').allInnerTexts();
  expect(rows.length).toBe(3);
  // The same night, asked natively.
  const [request] = await page.evaluate(() => window.asked);
  const [{ ok }] = lines([request]);
  const end = 22 * 3600 + ok.finish_second;
  const clock = `${String(Math.floor(end / 3600) % 24).padStart(2, '0')}:${String(Math.floor(end / 60) % 60).padStart(2, '0')}`;
  expect(shown).toBe(`22:00 to ${clock}`);
  for (const theme of ['light', 'dark', 'sun']) {
    await page.evaluate((name) => window.drycurb.theme(name), theme);
    await page.screenshot({ path: `${ROOT}/tests/results/pictures/night-en-${theme}-360.png`, fullPage: true });
  }
  // The programs to key, and their replay: every station gets its minutes.
  const programs = page.locator('.programs');
  await expect(programs).toContainText('Start times: 22:00');
  await expect(programs).not.toContainText('broke a rule');
  for (const name of ['Front bank', 'Oval', 'Shrubs']) await expect(programs).toContainText(name);
  await page.reload();
  await pocket.tap(pocket.key('Night'));
  await expect(page.locator('.flows li').nth(1).locator('input')).toHaveValue('30');
});

test('a station the supply cannot carry, and a window too short, are said plainly', async ({ pocket }) => {
  const { page } = pocket;
  await threeStations(pocket);
  const flows = page.locator('.flows li');
  await flows.nth(0).locator('input').fill('90');
  await flows.nth(1).locator('input').fill('50');
  await flows.nth(2).locator('input').fill('20');
  await pocket.type('What the supply can carry', '60');
  await pocket.type('Most valves open at once', '1');
  await pocket.type('Hours until it must be over', '0,5');
  await pocket.tap(pocket.key('Plan the night'));
  await expect(page.locator('.night')).toContainText('Cannot be watered: Front bank.');
  await expect(page.locator('.night')).toContainText('No plan fits the window');
  await pocket.type('Water from', '25:00');
  await expect(page.locator('.night')).toContainText('A time of day, 00:00 to 23:59.');
  await expect(page.locator('.night').getByRole('button', { name: 'Plan the night' })).toHaveCount(0);
});
