// Weighs what a first visit loads and what comes after it, as brotli sends it, and fails above the budget.
import { readFileSync, readdirSync, statSync } from 'node:fs';
import { extname, join, relative } from 'node:path';
import { brotliCompressSync, constants } from 'node:zlib';

const FIRST_VISIT_KB = 230;
const MAIN_WASM_KB = 190;
const LATER_KB = 254;
const ALREADY_PACKED = new Set(['.png']);

const dist = process.argv[2] ?? 'dist';
const weigh = (file) => {
  const bytes = readFileSync(file);
  if (ALREADY_PACKED.has(extname(file))) return bytes.length;
  return brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } }).length;
};
const files = [];
const walk = (folder) => readdirSync(folder).sort().forEach((name) => {
  const full = join(folder, name);
  if (statSync(full).isDirectory()) walk(full);
  else files.push({ name: relative(dist, full), raw: statSync(full).size, packed: weigh(full) });
});
walk(dist);
const kb = (bytes) => (bytes / 1000).toFixed(1);
files.sort((a, b) => b.packed - a.packed);
files.forEach(({ name, raw, packed }) => console.log(`size: ${kb(raw).padStart(8)} kB  brotli ${kb(packed).padStart(7)} kB  ${name}`));
// The offline worker's own list says what a first visit does without.
const list = readFileSync(join(dist, 'sw.js'), 'utf8').match(/const LATER = (\{[^}]*\})/);
if (!list) throw new Error('the offline worker names nothing that comes later');
const isLater = ({ name }) => name in JSON.parse(list[1]);
const weight = (some) => some.reduce((sum, { packed }) => sum + packed, 0);
const later = weight(files.filter(isLater));
const total = weight(files) - later;
const wasm = weight(files.filter((file) => file.name.endsWith('.wasm') && !isLater(file)));
console.log(`size: first visit ${kb(total)} of ${FIRST_VISIT_KB} kB, main module ${kb(wasm)} of ${MAIN_WASM_KB} kB, `
  + `afterwards ${kb(later)} of ${LATER_KB} kB, in all ${kb(total + later)} kB, brotli`);
if (total > FIRST_VISIT_KB * 1000 || wasm > MAIN_WASM_KB * 1000 || later > LATER_KB * 1000) {
  console.error('size: over budget');
  process.exit(1);
}
