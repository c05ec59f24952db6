// The Pocket as a technician uses it: facts in, answer out, whatever is typed.
import { cut, expect, lines, speak, test } from './page.mjs';

test('three facts give the answer that the lines program gives', async ({ pocket }) => {
  await pocket.give();
  const [whole] = lines([{ ask: 'station', soil: 'loam', slope_percent: 8, precipitation_mm_per_h: 38,
    et_mm_per_day: 5, plant_factor: await plantFactor(pocket), rain_mm_per_week: 0, root_depth_mm: 152.4,
    allowed_depletion: 0.5, low_quarter_uniformity: 0.65 }]);
  const { ok } = whole;
  const week = ok.days * ok.runs_per_day * ok.run_minutes;
  expect(await pocket.answer()).toEqual([
    `${ok.longest_run_minutes} min`, ok.runs_per_day > 1 ? `${ok.soak_minutes} min` : 'none', `${week} min`]);
  expect(await pocket.said()).toContain(`${ok.runs_per_day} runs of ${ok.run_minutes} min, ${ok.soak_minutes} min soak`);
  console.log(`pocket: an answer after ${pocket.taps} taps and 3 fields`);
});

test('runs that need no rest between them are said without one', async ({ pocket }) => {
  await pocket.give({ slope: '2', rate: '25' });
  const [{ ok }] = lines([{ ask: 'station', soil: 'loam', slope_percent: 2, precipitation_mm_per_h: 25,
    et_mm_per_day: 5, plant_factor: await plantFactor(pocket), rain_mm_per_week: 0, root_depth_mm: 152.4,
    allowed_depletion: 0.5, low_quarter_uniformity: 0.65 }]);
  expect([ok.runs_per_day > 1, ok.soak_minutes]).toEqual([true, 0]);
  expect((await pocket.answer())[1]).toBe('none');
  const runs = `${ok.runs_per_day} runs of ${ok.run_minutes} min`;
  expect(await pocket.said()).toContain(`${runs} · over in`);
  await expect(pocket.page.locator('.beat')).toHaveAttribute('aria-label', runs);
  await speak(pocket.page, 'es');
  expect(await pocket.said()).toContain(`${ok.runs_per_day} riegos de ${ok.run_minutes} min · termina`);
  expect((await pocket.answer())[1]).toBe('ninguno');
});

/** The month's factor of cool-season turf, as the page says it. */
const plantFactor = async (pocket) => {
  await pocket.tap(pocket.key('Why?'));
  const text = await pocket.page.locator('.why').innerText();
  await pocket.tap(pocket.key('Close', pocket.page.locator('.why')));
  return Number(text.match(/a day × ([\d.]+)/)[1]);
};

test('every keystroke recomputes and nothing is rewritten under the finger', async ({ pocket }) => {
  await pocket.give({ rate: '' });
  const field = pocket.field('Precipitation rate', pocket.row('Precipitation rate'));
  expect(await pocket.said()).toContain('precipitation rate');
  await field.pressSequentially('38');
  await expect(field).toHaveValue('38');
  const at38 = await pocket.answer();
  await field.pressSequentially(',50');
  await expect(field).toHaveValue('38,50');
  expect(await pocket.row('Precipitation rate').locator('.note').innerText()).toContain('38.5');
  await field.fill('20');
  expect(await pocket.answer()).not.toEqual(at38);
});

test('what is not a number is refused beside the field and the last answer stays, marked old', async ({ pocket }) => {
  await pocket.give();
  const good = await pocket.answer();
  const field = pocket.field('Precipitation rate', pocket.row('Precipitation rate'));
  const note = pocket.row('Precipitation rate').locator('.note');
  for (const [typed, said] of [['NaN', 'Not a number'], ['inf', 'Not a number'], ['1e3', 'Not a number'],
    ['-4', 'From 0.05 to 1000 mm/h'], ['0', 'From 0.05'], ['99999', 'to 1000'], ['3..4', 'Not a number'],
    ['   ', 'Type a number'], ['9'.repeat(400), 'Not a number'], ['<b>', 'Not a number']]) {
    await field.fill(typed);
    await expect(field).toHaveValue(typed);
    await expect(note).toContainText(said);
    await expect(field).toHaveAttribute('aria-invalid', 'true');
    expect(await pocket.answer()).toEqual(good);
    expect(await pocket.said()).toContain('Old answer');
  }
  await field.fill('');
  expect(await pocket.said()).toContain('Old answer');
  await field.fill('38');
  expect(await pocket.said()).not.toContain('Old answer');
  expect(await pocket.answer()).toEqual(good);
});

test('a range is stated in the unit that is shown', async ({ pocket }) => {
  await pocket.give();
  await pocket.tap(pocket.page.getByRole('button', { name: /^Units/ }));
  const row = pocket.row('Precipitation rate');
  await pocket.type('Precipitation rate', '999', row);
  await expect(row.locator('.note')).toContainText('From 0.002 to 39.37 in/h');
  for (const accepted of ['0.002', '39.37']) {
    await pocket.type('Precipitation rate', accepted, row);
    await expect(row.locator('.note')).toContainText('read as');
  }
});

test('units switch a thousand times and not a bit changes', async ({ pocket }) => {
  await pocket.give({ slope: '8,5', rate: '37.99' });
  const before = await pocket.saved();
  const answer = await pocket.answer();
  await pocket.page.evaluate(() => {
    const key = [...document.querySelectorAll('.top button')].find((button) => button.getAttribute('aria-label')?.startsWith('Units'));
    for (let turn = 0; turn < 1000; turn += 1) key.click();
  });
  expect((await pocket.saved()).draft).toEqual(before.draft);
  expect(await pocket.answer()).toEqual(answer);
  await pocket.tap(pocket.page.getByRole('button', { name: /^Units/ }));
  await expect(pocket.field('Precipitation rate', pocket.row('Precipitation rate'))).toHaveValue('1.496');
  expect((await pocket.saved()).draft).toEqual(before.draft);
  expect(await pocket.answer()).toEqual(answer);
});

test('soil is found by feel', async ({ pocket }) => {
  const row = await pocket.open('Soil');
  await pocket.tap(pocket.key('by feel', row));
  await pocket.tap(pocket.key('Yes', row).first());
  await pocket.tap(pocket.key('Yes', row).nth(1));
  await pocket.tap(row.getByRole('button', { name: /^25 mm to/ }));
  await pocket.tap(pocket.key('gritty', row));
  await expect(row).toContainText('That is Sandy clay loam.');
  await pocket.tap(pocket.key('Use Sandy clay loam', row));
  await expect(row.locator('.value')).toHaveText('Sandy clay loam');
  await expect(row.locator('.found')).toContainText('by feel');
});

test('soil is found from a jar and from percents', async ({ pocket }) => {
  const row = await pocket.open('Soil');
  await pocket.tap(pocket.key('jar test', row));
  await pocket.type('Sand layer', '40', row);
  await pocket.type('Silt layer', '40', row);
  await pocket.type('Clay layer', '20', row);
  await pocket.tap(pocket.key('Use Loam', row));
  await expect(row.locator('.value')).toHaveText('Loam');
  await pocket.tap(pocket.key('by percent', row));
  await pocket.type('Sand', '10', row);
  await pocket.type('Silt', '45', row);
  await pocket.type('Clay', '40', row);
  await expect(row).toContainText('must make 100 %; now 95 %');
  await pocket.type('Clay', '45', row);
  await pocket.tap(pocket.key('Use Silty clay', row));
  await expect(row.locator('.value')).toHaveText('Silty clay');
});

// Source: NC State University, public data package for sprinkler evaluation (Grabow 2022), turf vignette: 46 cans of
// 72 mm, 15 minutes; printed 0.41 in/h, exact 10.486 mm/h, low-quarter uniformity 45.28 %.
test('catch cans give rate and uniformity', async ({ pocket }) => {
  await pocket.give({ rate: '' });
  const row = pocket.row('Precipitation rate');
  await pocket.tap(pocket.key('Catch cans', row));
  await pocket.type('Minutes run', '15', row);
  await pocket.type('Opening of one can', '40.715', row);
  await pocket.type('Catches', '9 11 11 13 17 14 15 15 3 15 13 6 14 11 7 11 14 17 9 6 4 8 9 12 26 17 8 4 6 10 14 16 14 9 6 '
    + '7 10 6 16 11 3 16 10 2 5 11', row);
  await expect(row.locator('.value')).toHaveText('10.5 mm/h');
  await expect(row).toContainText('46 cans');
  await expect(row).toContainText('45 %');
  await expect(row).toContainText('repair first');
  await expect(pocket.page.locator('.assumptions')).toContainText('uniformity 45.3 % (cans)');
  await pocket.type('Catches', '24 31,28 27 22', row);
  await expect(row).toContainText('31,28: one catch or more?');
  await expect(row.locator('#catches')).toHaveAttribute('aria-invalid', 'true');
});

test('rate is worked out from flow, spacing, drip and meter', async ({ pocket }) => {
  await pocket.give({ rate: '' });
  const row = pocket.row('Precipitation rate');
  await pocket.tap(pocket.key('Flow and area', row));
  await pocket.type('Flow of the station', '40', row);
  await pocket.type('Area it wets', '160', row);
  await expect(row.locator('.value')).toHaveText('15 mm/h');
  await pocket.tap(pocket.key('Head spacing', row));
  await pocket.type('Flow of one head', '6', row);
  await pocket.type('Arc', '180', row);
  await pocket.type('Between heads', '4', row);
  await pocket.type('Between rows', '5', row);
  await expect(row.locator('.value')).toHaveText('36 mm/h');
  await pocket.tap(pocket.key('Drip grid', row));
  await pocket.type('Flow of one emitter', '2', row);
  await pocket.type('Between emitters', '30', row);
  await pocket.type('Between lines', '40', row);
  await expect(row.locator('.value')).toHaveText('16.7 mm/h');
  await pocket.tap(pocket.key('Meter reading', row));
  await pocket.type('Water through the meter', '500', row);
  await pocket.type('Minutes run', '10', row);
  await pocket.type('Area it wets', '100', row);
  await expect(row.locator('.value')).toHaveText('30 mm/h');
});

test('slope is given in degrees and as rise over run', async ({ pocket }) => {
  const row = await pocket.open('Slope');
  await pocket.tap(pocket.key('degrees', row));
  await pocket.type('Slope', '45', row);
  await expect(row.locator('.value')).toHaveText('100 %');
  await pocket.tap(pocket.key('rise over run', row));
  await pocket.type('Rise', '60', row);
  await pocket.type('Level distance', '500', row);
  await expect(row.locator('.value')).toHaveText('12 %');
});

test('a measured intake and a timed run outrank the class', async ({ pocket }) => {
  await pocket.give();
  const row = await pocket.open('Soil');
  await expect(pocket.page.locator('.sure')).toContainText('soil class only');
  await pocket.tap(pocket.key('measured intake', row));
  expect(await pocket.said()).toContain('Old answer');
  await pocket.type('Intake', '12', row);
  await expect(pocket.page.locator('.sure')).toContainText('measured intake');
  await pocket.tap(pocket.key('minutes to runoff', row));
  await pocket.type('Minutes to runoff', '12', row);
  await expect(pocket.page.locator('.sure')).toContainText('timed on site');
  await pocket.type('Minutes to runoff', '1', row);
  await expect(row).toContainText('So soon that surface storage explains almost all of it');
});

test('a slow rate has no limit at this intake, and one if the soil is compacted', async ({ pocket }) => {
  await pocket.give({ soil: 'Sandy loam', slope: '2', rate: '6' });
  const [run] = await pocket.answer();
  expect(run).toBe('no limit');
  expect(await pocket.said()).toMatch(/No limit found at this intake\. If the soil is compacted: \d+ min\./);
});

test('a rate too fast for the ground says so, with the loss and what helps', async ({ pocket }) => {
  await pocket.give({ soil: 'Clay', slope: '20', rate: '50' });
  expect(await pocket.said()).toContain('Too fast for this ground');
  await pocket.tap(pocket.key('Why?'));
  const helps = pocket.page.locator('.helps');
  await expect(helps).toContainText('a nozzle of half the rate');
  await expect(helps).toContainText('aeration');
  await expect(helps).not.toContainText('Working it out');
  await pocket.tap(pocket.key('The protocol alone', pocket.page.locator('.why')));
  expect(await pocket.said()).toContain('Too fast for this ground');
});

test('the protocol alone, or own numbers, show the runoff they expect', async ({ pocket }) => {
  await pocket.give({ soil: 'Clay loam', slope: '8', rate: '38' });
  await pocket.tap(pocket.key('Why?'));
  const why = pocket.page.locator('.why');
  await expect(why).toContainText('Published protocol');
  await expect(why.locator('svg')).toBeVisible();
  // What the drawing's marks mean is read beside it, in words that are not squeezed.
  expect(await cut(pocket.page, '.why')).toEqual([]);
  await pocket.tap(pocket.key('The protocol alone', why));
  expect(await pocket.said()).toMatch(/Expected to run off: [\d.]+\s%/);
  await pocket.tap(pocket.key('My own numbers', why));
  await pocket.type('Runs a day', '1', why);
  await pocket.type('Minutes of each run', '30', why);
  await pocket.type('Soak between', '0', why);
  expect(await pocket.said()).toMatch(/1 run of 30 min .* Expected to run off: [1-9]\d(\.\d)?\s?%/);
  const [{ ok }] = lines([{ ask: 'runoff', soil: 'clay_loam', slope_percent: 8, condition: 'settled', start: 'wet',
    pulses: [{ start_minute: 0, minutes: 30, precipitation_mm_per_h: 38 }] }]);
  const share = 100 * ok.runoff_mm / ok.applied_mm;
  expect(await pocket.said()).toContain(share.toPrecision(3));
});

test('assumptions are changed in place', async ({ pocket }) => {
  await pocket.give();
  const assumed = pocket.page.locator('.assumed');
  const before = await pocket.answer();
  await pocket.tap(assumed.getByRole('button', { name: 'cool-season turf' }));
  await pocket.tap(pocket.key('warm-season turf', assumed.locator('.editor')));
  await pocket.tap(assumed.getByRole('button', { name: /^a dry summer day/ }));
  await pocket.type('Find a place', 'phoen', assumed);
  await pocket.tap(pocket.key('Phoenix', assumed));
  await assumed.getByLabel('Month').selectOption({ label: 'July' });
  await expect(assumed).toContainText('July near Phoenix (rough)');
  expect((await pocket.answer())[2]).not.toBe(before[2]);
  await pocket.tap(assumed.locator('.assumption', { hasText: 'no rain' }));
  await pocket.type('Effective rain', '200', assumed);
  expect(await pocket.said()).toContain('Nothing to water this week');
  expect((await pocket.answer())[2]).toBe('0 min');
  await pocket.tap(assumed.getByRole('button', { name: 'Back to 0 mm' }));
  await pocket.tap(assumed.locator('.assumption', { hasText: 'any day' }));
  await pocket.type('Most watering days', '2', assumed);
  expect(await pocket.said()).toContain('2 days a week');
});

test('both languages, and the page says which', async ({ pocket }) => {
  await pocket.give();
  await pocket.tap(pocket.key('Español'));
  await expect(pocket.page.locator('html')).toHaveAttribute('lang', 'es');
  await expect(pocket.page.locator('.answer')).toContainText('Riego máximo');
  expect(await pocket.said()).toMatch(/días por semana/);
  await pocket.tap(pocket.key('English'));
  await expect(pocket.page.locator('html')).toHaveAttribute('lang', 'en');
});

test('stations are kept, opened, renamed, deleted and put back; all survives a reload', async ({ pocket }) => {
  const { page } = pocket;
  await pocket.give();
  const first = await pocket.answer();
  await pocket.type('Name of the station', 'Front bank');
  await pocket.tap(pocket.key('Keep this station'));
  await pocket.tap(pocket.key('New station'));
  await pocket.give({ soil: 'Sand', slope: '0', rate: '12' });
  await pocket.tap(pocket.key('Keep this station'));
  const kept = page.locator('.kept li');
  await expect(kept).toHaveCount(2);
  await expect(kept.nth(1)).toContainText('Station 2');
  await pocket.tap(kept.nth(0).getByRole('button', { name: /^Rename/ }));
  await kept.nth(0).locator('input').fill('North bank');
  await page.keyboard.press('Enter');
  await pocket.tap(kept.nth(0).getByRole('button', { name: /^Open/ }));
  expect(await pocket.answer()).toEqual(first);
  await page.reload();
  expect(await pocket.answer()).toEqual(first);
  await expect(kept.nth(0)).toContainText('North bank');
  await pocket.tap(kept.nth(0).getByRole('button', { name: /^Delete/ }));
  await expect(kept).toHaveCount(1);
  await page.reload();
  await pocket.tap(page.getByRole('button', { name: 'Undo: put North bank back' }));
  await expect(kept).toHaveCount(2);
  await expect(kept.nth(0)).toContainText('North bank');
});

test('the stopwatch runs on through a reload and a locked screen', async ({ pocket }) => {
  const { page } = pocket;
  await page.clock.install({ time: new Date('2026-06-01T10:00:00') });
  await page.reload();
  await pocket.give();
  const row = await pocket.open('Soil');
  await pocket.tap(pocket.key('minutes to runoff', row));
  await pocket.tap(pocket.key('Start the watch', row));
  await page.clock.fastForward('02:00');
  await expect(row.locator('.face')).toHaveText('2:00');
  await page.reload();
  await pocket.open('Soil');
  await page.clock.fastForward('10:30');
  await expect(row.locator('.face')).toHaveText('12:30');
  await pocket.tap(pocket.key('Water runs off: stop', row));
  await pocket.tap(row.getByRole('button', { name: /^Use 12\.[5-9]\d* min$/ }));
  await expect(pocket.page.locator('.sure')).toContainText('timed on site');
});

test('the phone laid down twice gives the slope without its own error', async ({ pocket }) => {
  const { page } = pocket;
  const row = await pocket.open('Slope');
  await pocket.tap(pocket.key('Lay the phone down', row));
  const lie = async (x, y, z, key, said) => {
    await page.evaluate(([gx, gy, gz]) => {
      clearInterval(window.feeling);
      window.feeling = setInterval(() => dispatchEvent(new DeviceMotionEvent('devicemotion',
        { accelerationIncludingGravity: { x: gx, y: gy, z: gz } })), 20);
    }, [x, y, z]);
    await pocket.tap(row.getByRole('button', { name: key }));
    await expect(row.locator('.how')).toContainText(said, { timeout: 10000 });
  };
  // Eight percent uphill along y, the sensor 0.3 m/s² off along x.
  await lie(0.3, 0.7823, 9.779, 'Hold still and read', 'One reading: 8.5 %');
  await lie(0.3, -0.7823, 9.779, /turn it half around/, 'Both readings: 8 %');
  await pocket.tap(pocket.key('Use 8 %', row));
  await expect(row.locator('.value')).toHaveText('8 %');
});

test('a phone that first asks its owner waits for the answer, and a refusal is not for good', async ({ pocket }) => {
  const { page } = pocket;
  await page.evaluate(() => {
    window.answers = ['denied', 'granted'];
    DeviceMotionEvent.requestPermission = () => new Promise((answer) => {
      setTimeout(() => answer(window.answers.shift()), 1500);
    });
    setInterval(() => dispatchEvent(new DeviceMotionEvent('devicemotion',
      { accelerationIncludingGravity: { x: 0, y: 0.7823, z: 9.779 } })), 20);
  });
  const row = await pocket.open('Slope');
  await pocket.tap(pocket.key('Lay the phone down', row));
  await pocket.tap(pocket.key('Hold still and read', row));
  await expect(row.locator('.how')).toContainText('does not tell its tilt');
  await pocket.tap(pocket.key('Hold still and read', row));
  await expect(row.locator('.how')).toContainText('One reading: 8 %');
});

test('the watch is started and stopped from the keyboard without losing the place', async ({ pocket }) => {
  await pocket.give();
  const row = await pocket.open('Soil');
  await pocket.tap(pocket.key('minutes to runoff', row));
  await pocket.key('Start the watch', row).focus();
  await pocket.page.keyboard.press('Enter');
  await expect(pocket.key('Water runs off: stop', row)).toBeFocused();
});

test('facts that are kept nowhere can be put back after a new station is begun', async ({ pocket }) => {
  await pocket.give({ slope: '8.5' });
  await pocket.tap(pocket.key('New station'));
  await expect(pocket.row('Slope').locator('.value')).toHaveText('not given');
  await pocket.tap(pocket.page.getByRole('button', { name: /^Undo: put Station 1 back$/ }));
  await pocket.tap(pocket.page.locator('.kept li').getByRole('button', { name: /^Open/ }));
  await expect(pocket.row('Slope').locator('.value')).toHaveText('8.5 %');
});
