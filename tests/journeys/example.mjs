// An invented site for the journeys of Year and Papers, as the document keeps it.
import { readFileSync } from 'node:fs';

const source = readFileSync(new URL('../../web/static/codes.js', import.meta.url)).toString('base64');
/** The page's codes, as a module of their own. */
export const { decode, encode } = await import(`data:text/javascript;base64,${source}`);

const numbers = (list) => Object.fromEntries(Object.entries(list).map(([name, text]) => [name, { text, units: 'si' }]));

const station = (id, name, soil, plants, rate, flow, faults = []) => ({
  id, name, site: 1, supply: 1, faults,
  draft: { soil, plants, climate: { place: 'Denver' }, numbers: numbers({ slope: '4', rate, rate_flow: flow }) },
});

/** Marrow Court does not exist. */
export const example = () => ({
  version: 2,
  prefs: { language: 'en', units: 'si', theme: 'light' },
  draft: { numbers: {} },
  site: 1,
  sites: [{
    id: 1,
    name: 'Marrow Court (invented)',
    facts: { climate: { place: 'Denver' }, numbers: {} },
    supplies: [{ id: 1, name: 'East', facts: { numbers: numbers({ capacity: '60' }) } }],
    tiers: [['50', '1.20'], ['', '2.35']],
    currency: '$',
  }],
  kept: [
    station(1, 'front bank', 'clay_loam', 'cool_turf', '38', '40', [['broken_head', 3], ['clogged_nozzle', 5]]),
    station(2, 'oval', 'loam', 'cool_turf', '15', '55', [['leaning_head', 4], ['valve_leaks', 1]]),
    station(3, 'court shrubs', 'sandy_loam', 'low_use', '12', '18', [['broken_head', 1]]),
    station(4, 'bed at the gate', 'loam', 'high_use', '20', '22'),
  ],
  deleted: [],
});

/** Opens the page with a document in it, whatever it held. */
export const hold = async (page, document) => {
  await page.evaluate((text) => {
    const revision = Number.parseInt(localStorage.getItem('drycurb.page') ?? '0', 10) || 0;
    localStorage.setItem('drycurb.page', `${revision + 1000}\n${text}`);
    // The page that is left may be about to write what it held.
    Storage.prototype.setItem = () => {};
  }, JSON.stringify(document));
  await page.reload();
  await page.getByRole('heading', { name: 'Drycurb' }).waitFor();
};

/** What a tap hands out as a file: its name and text. */
export const given = async (page, act) => {
  const coming = page.waitForEvent('download');
  await act();
  const download = await coming;
  const chunks = [];
  for await (const chunk of await download.createReadStream()) chunks.push(chunk);
  return { name: download.suggestedFilename(), text: Buffer.concat(chunks).toString('utf8') };
};

/** The example's year, as the native program is asked for it. `more` is added to the request. */
export const yearAsked = (lines, more = {}) => {
  const [{ ok: { places: [place] } }, { ok: lawn }] = lines([
    { ask: 'climate', name: 'Denver' }, { ask: 'plant', turf: 'cool_season' }]);
  // Middles of the classes of WUCOLS IV: low 0.2, high 0.8. Water falls as evenly as is assumed untested: 65 %.
  const factors = { cool_turf: lawn.plant_factors, low_use: Array(12).fill(0.2), high_use: Array(12).fill(0.8) };
  const programs = ['cool_turf', 'low_use', 'high_use'];
  const stations = example().kept.map(({ draft: { plants, numbers: { rate, rate_flow: flow } } }) => ({
    plant_factors: factors[plants],
    area_m2: 60 * flow.text / rate.text,
    multiplier: 1 / (0.4 + 0.6 * 0.65),
    program: programs.indexOf(plants),
  }));
  const tiers = [{ until_thousandths: 50_000, price_thousandths: 1200 }, { price_thousandths: 2350 }];
  return {
    ask: 'year', et_mm_per_day: place.et_mm_per_day, rain_mm: place.rain_mm, rain_rule: 'half', step_percent: 10,
    tariff: { unit: 'm3', tiers }, stations, ...more,
  };
};
