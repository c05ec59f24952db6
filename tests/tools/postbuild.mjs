// Runs after trunk: takes the start-up script out of the page (the content security policy allows none inside it),
// names the worker's module, and writes the offline list and version from the files themselves.
import { createHash } from 'node:crypto';
import { readFileSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';

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

const names = readdirSync(dist);
const glue = names.find((name) => /^drycurb-web-.*\.js$/.test(name));
const wasm = names.find((name) => /^drycurb-web-.*_bg\.wasm$/.test(name));
if (!glue || !wasm || !names.includes('planner_bg.wasm')) throw new Error('trunk left no module');

const boot = `import init from './${glue}';
const start = async () => {
  window.drycurb.saved = await window.drycurb.load('page');
  await init({ module_or_path: './${wasm}' });
};
start().catch((why) => window.drycurb.rescue(why));
`;
const bootName = `boot-${sha256(boot, 'hex').slice(0, 16)}.js`;
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
page = page.replace(/ (?:integrity|nonce)="[^"]*"/g, '');
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
