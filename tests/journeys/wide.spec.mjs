// Wide screens: what belongs together stands side by side, in the order of the keyboard; with large text under one another.
import { ROOT, axe, cut, expect, test } from './page.mjs';

const SIZES = [[1280, 800], [1920, 1080]];
const box = (locator) => locator.boundingBox();
const beside = async (left, right) => {
  const [a, b] = [await box(left), await box(right)];
  expect(a.x + a.width).toBeLessThanOrEqual(b.x + 1);
  expect(a.y < b.y + b.height && b.y < a.y + a.height).toBe(true);
};

/** Every state of the places, with the two parts that stand beside one another. */
const states = async (pocket, look) => {
  const { page } = pocket;
  await pocket.tap(pocket.key('Site'));
  if (await pocket.key('Load the invented example').count()) await pocket.tap(pocket.key('Load the invented example'));
  await look('site', page.locator('.lines li').nth(0), page.locator('.lines li').nth(1));
  await pocket.tap(page.locator('.lines li').nth(15).getByRole('button'));
  await look('station', page.locator('.site .list'), page.locator('.site .beside'));
  await pocket.tap(page.locator('.bar').getByRole('button', { name: 'Back' }));
  await pocket.tap(pocket.key('Night'));
  await pocket.tap(pocket.key('Plan the week'));
  await page.locator('.programs table').first().waitFor({ timeout: 40_000 });
  await page.evaluate(() => scrollTo(0, 0));
  await look('night', page.locator('.night .seen'), page.locator('.night .programs'));
  await pocket.tap(pocket.key('What is keyed now'));
  await pocket.tap(page.getByRole('button', { name: 'Add program' }));
  await page.locator('input[placeholder^="22:00"]').fill('22:00');
  await page.locator('.keying input').first().fill('20');
  await pocket.tap(pocket.key('Find what is wrong'));
  await page.locator('.found').waitFor({ timeout: 40_000 });
  await page.evaluate(() => scrollTo(0, 0));
  await look('now', page.locator('.night .halves > div').first(), page.locator('.night .seen'));
  await pocket.tap(pocket.key('Year'));
  await page.locator('.year tbody tr').first().waitFor();
  await look('year', page.locator('.year .seen'), page.locator('.year .halves > div').last());
  await pocket.tap(pocket.key('Papers'));
  await look('papers', null, null);
  await pocket.tap(page.locator('.papers .row', { hasText: 'Card' }));
  await look('card', page.locator('.papers .list'), page.locator('.papers .open'));
};

for (const [width, height] of SIZES) {
  test(`places stand side by side at ${width} × ${height}, in the order of the keyboard`, async ({ pocket }) => {
    test.setTimeout(120_000);
    const { page } = pocket;
    await page.setViewportSize({ width, height });
    const found = [];
    await states(pocket, async (state, left, right) => {
      if (left) await beside(left, right);
      found.push(...(await cut(page, 'main')).map((what) => `${state}: ${what}`));
      found.push(...(await axe(page)).map((what) => `${state}: ${what}`));
      await page.screenshot({ path: `${ROOT}/tests/results/pictures/wide-${width}-${state}.png` });
      const orderly = await page.evaluate(() => {
        const halves = document.querySelector('.halves:has(> :nth-child(2):not(:empty))');
        if (!halves) return true;
        const able = 'button:not(:disabled), input, select, summary, [tabindex="0"]';
        const keys = [...halves.querySelectorAll(able)].filter((key) => key.getClientRects().length && key.tabIndex >= 0);
        const sides = keys.map((key) => [...halves.children].findIndex((side) => side.contains(key)));
        return sides.every((side, at) => at === 0 || side >= sides[at - 1]);
      });
      expect(orderly, state).toBe(true);
    });
    expect(found).toEqual([]);
  });
}

test('on a wide screen with large text nothing stands beside or overflows', async ({ pocket }) => {
  test.setTimeout(120_000);
  const { page } = pocket;
  await page.setViewportSize({ width: 1280, height: 800 });
  const found = [];
  await states(pocket, async (state) => {
    await page.evaluate(() => { document.documentElement.style.fontSize = '212.5%'; });
    found.push(...(await cut(page, 'main')).map((what) => `${state}: ${what}`));
    const columns = page.locator('.halves');
    if (await columns.count()) {
      const tracks = await columns.evaluate((node) => getComputedStyle(node).gridTemplateColumns.split(' ').length);
      expect(tracks, state).toBe(1);
    }
    await page.evaluate(() => { document.documentElement.style.fontSize = ''; });
  });
  expect(found).toEqual([]);
});

test('beside a long list the row that is open stays in sight', async ({ pocket }) => {
  const { page } = pocket;
  await page.setViewportSize({ width: 1280, height: 800 });
  await pocket.tap(pocket.key('Site'));
  await pocket.tap(pocket.key('Load the invented example'));
  for (const at of [20, 21, 3]) {
    await pocket.tap(page.locator('.lines li').nth(at).getByRole('button'));
    await expect(page.locator('.lines li').nth(at).getByRole('button')).toBeInViewport();
    await expect(page.locator('.beside h2')).toBeInViewport();
  }
});
