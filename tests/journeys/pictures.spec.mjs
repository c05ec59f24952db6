// The pictures that README shows: each place, and the card as it is printed. They are made here at every run, under
// tests/results/pictures; those in tests/pictures are copies.
import { example, hold } from './example.mjs';
import { ROOT, expect, test } from './page.mjs';

const picture = (page, name) => page.screenshot({ path: `${ROOT}/tests/results/pictures/readme-${name}.png` });

test('pictures of the five places and of the printed card', async ({ pocket }) => {
  const { page } = pocket;
  await pocket.give();
  await picture(page, 'pocket');
  const document = example();
  document.sites[0].facts.month = 7;
  await hold(page, document);
  for (const place of ['Site', 'Night', 'Year', 'Papers']) {
    await pocket.tap(pocket.key(place));
    await expect(page.locator('main h2').first()).toBeVisible();
    if (place === 'Night') {
      await pocket.tap(pocket.key('Plan the week'));
      await expect(page.locator('.span').first()).toBeVisible({ timeout: 60000 });
      await page.evaluate(() => document.querySelector('main svg').scrollIntoView({ block: 'center' }));
    }
    if (place === 'Year') await expect(page.locator('.year tbody tr')).toHaveCount(12);
    await picture(page, place.toLowerCase());
  }
  await pocket.tap(page.locator('.papers .row', { hasText: 'Card' }));
  await expect(page.locator('.paper')).toBeVisible();
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: 794, height: 1123 });
  await picture(page, 'card');
});
