// House rules a machine can see. Prints every breach; exit status 1 when there is one.
import { readFileSync } from 'node:fs';
import { execFileSync } from 'node:child_process';

const tracked = execFileSync('git', ['ls-files', '-z'], { encoding: 'utf8' }).split('\0').filter(Boolean);
const breaches = [];
const say = (file, line, what) => breaches.push(`${file}:${line}: ${what}`);

const TOP = new Set(['Cargo.toml', 'README.md', 'DEVELOPERS.md', 'core', 'web', 'tests', 'index.html', 'Trunk.toml',
  'Cargo.lock', '.ci', '.cargo', '.gitignore', 'LICENSE']);
for (const file of tracked) {
  const top = file.split('/')[0];
  if (!TOP.has(top)) say(file, 1, 'does not belong at the top of the project');
  if (file.endsWith('/mod.rs')) say(file, 1, 'is foo.rs beside foo/, never mod.rs');
}

// A stage of the core may use earlier ones and never a later one; the replay knows nothing of the planner.
const FORBIDDEN = [
  [/^core\/src\//, /\bstd::(fs|net|time|env|process|thread)\b/, 'core has no input, output, clock or threads'],
  [/^core\/src\//, /\bHash(Map|Set)\b/, 'core does not depend on an order that differs between runs'],
  [/^core\/src\/replay/, /\bcrate::(night|program)\b/, 'the replay must not share the planner\'s code'],
  [/^core\/src\/(ground|rate|tilt|quantity|invalid|reference|math)/, /\bcrate::(need|supply|night|program|replay|season|lines)\b/, 'an earlier stage uses a later one'],
  [/^core\/src\/night/, /\bcrate::(program|replay|lines)\b/, 'an earlier stage uses a later one'],
  [/^core\/src\/(?!lines)/, /\bserde_json\b/, 'JSON lives behind the door `lines`'],
];
for (const file of tracked.filter((name) => name.endsWith('.rs'))) {
  const text = readFileSync(file, 'utf8');
  if (!text.startsWith('//!')) say(file, 1, 'opens with //! and what it is for');
  text.split('\n').forEach((line, at) => {
    for (const [where, what, why] of FORBIDDEN) {
      if (where.test(file) && what.test(line) && !line.trimStart().startsWith('//')) say(file, at + 1, why);
    }
    if (/#\[(ignore|should_panic)/.test(line)) say(file, at + 1, 'tests are run, and assert what they mean');
  });
}

// Every word of the page's tables is used somewhere; a word nobody shows is dead weight on every phone.
const tables = tracked.filter((name) => /^web\/src\/text(\.rs|\/)/.test(name));
const words = tables.flatMap((file) => [...readFileSync(file, 'utf8').matchAll(/^ {4}pub (\w+): &'static str,$/gm)]
  .map((match) => ({ file, word: match[1] })));
const page = tracked.filter((name) => name.startsWith('web/src/') && !name.startsWith('web/src/text'))
  .map((name) => readFileSync(name, 'utf8')).join('\n');
for (const { file, word } of words) {
  if (!new RegExp(`\\.${word}\\b`).test(page)) say(file, 1, `the word \`${word}\` is shown nowhere`);
}

breaches.forEach((line) => console.error(`tidy: ${line}`));
console.log(`tidy: ${tracked.length} files, ${breaches.length} breaches`);
process.exit(breaches.length ? 1 : 0);
