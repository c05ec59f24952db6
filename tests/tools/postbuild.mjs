// Runs after trunk: takes the start-up script out of the page (the content security policy allows none inside it),
// packs scripts and styles, and writes the offline list and version from the files themselves.
import { createHash } from 'node:crypto';
import { readFileSync, readdirSync, renameSync, statSync, unlinkSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';

import { transformSync } from 'esbuild';

const dist = process.env.TRUNK_STAGING_DIR;
if (!dist) throw new Error('postbuild runs as a hook of trunk');
const read = (name) => readFileSync(join(dist, name), 'utf8');
const write = (name, text) => writeFileSync(join(dist, name), text);
const sha256 = (bytes, form) => createHash('sha256').update(bytes).digest(form);

const replaceOnce = (text, what, by) => {
  const parts = text.split(what);
  if (parts.length !== 2) throw new Error(`expected exactly one ${what}, found ${parts.length - 1}`);
  return parts.join(by);
};

// The same without comments and blanks, and with short names for what is named inside only.
const packed = (text, loader, format) =>
  transformSync(text, { loader, format, minify: true, charset: 'utf8', legalComments: 'none' }).code;
const remove = (name) => unlinkSync(join(dist, name));
// A name that changes with the content, so that a browser may keep the file for good.
const named = (name, text, end) => `${name}-${sha256(text, 'hex').slice(0, 16)}.${end}`;

const names = readdirSync(dist);
const trunkGlue = names.find((name) => /^drycurb-web-.*\.js$/.test(name));
const wasm = names.find((name) => /^drycurb-web-.*_bg\.wasm$/.test(name));
if (!trunkGlue || !wasm || !names.includes('planner_bg.wasm')) throw new Error('trunk left no module');

const script = packed(read(trunkGlue), 'js', 'esm');
const glue = named('drycurb-web', script, 'js');
remove(trunkGlue);
write(glue, script);
// The offline worker stays as it is: who looks for the reason of an old page reads it in the browser.
write('platform.js', packed(read('platform.js'), 'js'));
for (const name of ['planner.js', 'papers.js', 'codes.js', 'worker.js']) write(name, packed(read(name), 'js', 'esm'));

// The table of climates, which two modules share.
const climate = readFileSync(join(dist, 'places.bin'));
const climateName = named('climate', climate, 'bin');
renameSync(join(dist, 'places.bin'), join(dist, climateName));

const boot = packed(`import init from './${glue}';
const climate = async () => {
  const response = await fetch('./${climateName}');
  if (!response.ok) throw new Error('${climateName}: ' + response.status);
  return new Uint8Array(await response.arrayBuffer());
};
const start = async () => {
  [window.drycurb.saved, window.drycurb.climate] = await Promise.all([window.drycurb.load('page'), climate()]);
  await init({ module_or_path: './${wasm}' });
};
start().catch((why) => window.drycurb.rescue(why));
`, 'js', 'esm');
const bootName = named('boot', boot, 'js');
write(bootName, boot);

const policy = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "connect-src 'self'",
  "manifest-src 'self'",
  "worker-src 'self'",
  "media-src 'self' blob:",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ');

let page = read('index.html');
const inline = page.match(/<script type="module"[^>]*>[\s\S]*?<\/script>/g) ?? [];
if (inline.length !== 1) throw new Error(`expected one start-up script, found ${inline.length}`);
page = replaceOnce(page, inline[0], `<script type="module" src="./${bootName}"></script>`);
page = replaceOnce(page, '<meta charset="utf-8">',
  `<meta charset="utf-8">\n<meta http-equiv="Content-Security-Policy" content="${policy}">`);
page = replaceOnce(page, '</head>', `<link rel="preload" href="./${climateName}" crossorigin="anonymous" as="fetch">\n</head>`);
page = page.replace(/ (?:integrity|nonce)="[^"]*"/g, '');
page = replaceOnce(page, trunkGlue, glue);
// One sheet of styles in the order of the page's list.
const sheets = [...page.matchAll(/<link rel="stylesheet" href="\.\/([^"]+)"\/>\n/g)];
const style = packed(sheets.map(([, name]) => read(name)).join('\n'), 'css');
const styleName = named('style', style, 'css');
sheets.forEach(([line, name], at) => {
  remove(name);
  page = replaceOnce(page, line, at === 0 ? `<link rel="stylesheet" href="./${styleName}">\n` : '');
});
write(styleName, style);
write('index.html', page);

// What plans the night is a module of its own, which the first visit does without; so are Year and Papers, and the
// codes for a camera.
const LATER = ['planner.js', 'planner_bg.wasm', 'worker.js', 'papers.js', 'papers_bg.wasm', 'codes.js'];
const files = {};
const later = {};
const walk = (folder) => readdirSync(folder).sort().forEach((name) => {
  const full = join(folder, name);
  if (statSync(full).isDirectory()) walk(full);
  else if (name !== 'sw.js') (LATER.includes(name) ? later : files)[relative(dist, full)] = sha256(readFileSync(full), 'base64');
});
walk(dist);
let offline = replaceOnce(read('sw.js'), '__FILES__', JSON.stringify(files, null, 1));
offline = replaceOnce(offline, '__LATER__', JSON.stringify(later, null, 1));
// The worker's own text counts too: a changed worker must not fill, or on failure delete, the cache of the one at work.
offline = replaceOnce(offline, '__VERSION__', sha256(offline, 'hex').slice(0, 16));
write('sw.js', offline);
