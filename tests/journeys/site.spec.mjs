// The Site place: sites on the phone.
import { expect, test } from './page.mjs';

test('a site is named, another made, and each keeps its own stations', async ({ pocket }) => {
  const { page } = pocket;
  await pocket.give();
  await pocket.type('Name of the station', 'Bank');
  await pocket.tap(page.locator('.keep .main').last());
  await pocket.tap(pocket.key('Site'));
  const name = page.getByLabel('Name of the site');
  await name.pressSequentially('Marrow <Court> & "Yard"');
  await expect(page.locator('.site h2')).toHaveText('Marrow <Court> & "Yard"');
  await expect(name).toBeFocused();
  await pocket.tap(pocket.key('New site'));
  await expect(page.locator('.site h2')).toHaveText('Site without a name');
  await expect(page.locator('.rows li')).toContainText('1 stations');
  await page.reload();
  await pocket.tap(pocket.key('Pocket'));
  await expect(page.locator('.kept li')).toHaveCount(0);
  await pocket.tap(pocket.key('Site'));
  await pocket.tap(page.getByRole('button', { name: 'Open Marrow' }));
  await expect(page.locator('.site h2')).toHaveText('Marrow <Court> & "Yard"');
});
