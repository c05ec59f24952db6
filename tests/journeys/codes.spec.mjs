// The codes of `codes.js` without a browser: read by another reader, another maker's read by ours, and a bad camera.
import { expect, test } from '@playwright/test';
import jsQR from 'jsqr';
import maker from 'qrcode-generator';

import { decode, encode } from './example.mjs';

const LETTERS = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:';

/** Numbers that look random and are the same in every run. */
const dice = (seed) => () => {
  seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
  return seed / 2 ** 32;
};
const some = (random, length) => Array.from({ length }, () => LETTERS[Math.floor(random() * 45)]).join('');

const flat = (size, dark, scale) => {
  const width = (size + 8) * scale;
  const data = new Uint8ClampedArray(4 * width * width).fill(255);
  for (let y = 0; y < size * scale; y += 1) {
    for (let x = 0; x < size * scale; x += 1) {
      if (!dark[Math.floor(y / scale) * size + Math.floor(x / scale)]) continue;
      const at = 4 * ((y + 4 * scale) * width + x + 4 * scale);
      data[at] = data[at + 1] = data[at + 2] = 0;
    }
  }
  return { data, width, height: width };
};

// Lengths at and around the capacities of versions 1 to 10, correction M (ISO/IEC 18004, table 7, from memory).
const LENGTHS = [1, 2, 20, 21, 38, 39, 61, 62, 90, 91, 122, 123, 154, 155, 178, 179, 221, 222, 262, 263, 311];

test('another reader reads ours, we read another maker, at every version', () => {
  const random = dice(5);
  for (const length of LENGTHS) {
    const text = some(random, length);
    const { size, dark } = encode(text);
    const picture = flat(size, dark, 5);
    expect(jsQR(picture.data, picture.width, picture.height)?.data, `${length} letters`).toBe(text);
    expect(decode(picture), `${length} letters`).toBe(text);
    const other = maker(0, 'M');
    other.addData(text, 'Alphanumeric');
    other.make();
    expect(other.getModuleCount()).toBe(size);
    const theirs = Uint8Array.from({ length: size * size }, (_, i) => (other.isDark(Math.floor(i / size), i % size) ? 1 : 0));
    expect(decode(flat(size, theirs, 5)), `${length} letters, theirs`).toBe(text);
  }
  expect(() => encode(some(random, 312))).toThrow();
  expect(() => encode('é')).toThrow();
});

test('a few wrong modules are repaired, and too many are refused', () => {
  const random = dice(8);
  const text = some(random, 200);
  const { size, dark } = encode(text);
  const spoil = (count) => {
    const spoilt = dark.slice();
    for (let i = 0; i < count; i += 1) {
      const at = Math.floor((10 + random() * (size - 19)) * size) + 10 + Math.floor(random() * (size - 20));
      spoilt[at] ^= 1;
    }
    return decode(flat(size, spoilt, 5));
  };
  expect(spoil(12)).toBe(text);
  const far = spoil(600);
  expect(far === null || far === text).toBe(true);
});

/** A camera of 960 × 720: turned, tilted, blurred, noisy, unevenly lit. */
const shot = (random, size, dark, fill, blur) => {
  const [width, height] = [960, 720];
  const gauss = () => Math.sqrt(-2 * Math.log(random() + 1e-9)) * Math.cos(2 * Math.PI * random());
  const turn = (random() - 0.5) * 34 * Math.PI / 180;
  const scale = fill * height / (size + 8);
  const tilt = [(random() - 0.5) * 0.12 / width, (random() - 0.5) * 0.12 / width];
  const light = [(random() - 0.5) * 0.4, (random() - 0.5) * 0.4];
  let grey = new Float32Array(width * height);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      let sum = 0;
      for (const [ox, oy] of [[0.25, 0.25], [0.75, 0.25], [0.25, 0.75], [0.75, 0.75]]) {
        let [u, v] = [x + ox - width / 2, y + oy - height / 2];
        const w = 1 + tilt[0] * u + tilt[1] * v;
        u /= w;
        v /= w;
        const mx = (u * Math.cos(turn) + v * Math.sin(turn)) / scale + size / 2;
        const my = (v * Math.cos(turn) - u * Math.sin(turn)) / scale + size / 2;
        const within = (room) => mx >= -room && my >= -room && mx < size + room && my < size + room;
        if (within(0) && dark[Math.floor(my) * size + Math.floor(mx)]) sum += 0.12;
        else sum += within(4) ? 0.9 : 0.35;
      }
      grey[y * width + x] = sum / 4 * (1 + light[0] * (x / width - 0.5) + light[1] * (y / height - 0.5));
    }
  }
  for (let pass = 0; pass < blur; pass += 1) {
    const next = grey.slice();
    for (let y = 1; y < height - 1; y += 1) {
      for (let x = 1; x < width - 1; x += 1) {
        let sum = 0;
        for (let dy = -1; dy <= 1; dy += 1) for (let dx = -1; dx <= 1; dx += 1) sum += grey[(y + dy) * width + x + dx];
        next[y * width + x] = sum / 9;
      }
    }
    grey = next;
  }
  const data = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let i = 0; i < grey.length; i += 1) data[4 * i] = data[4 * i + 1] = data[4 * i + 2] = 255 * (grey[i] + 0.05 * gauss());
  return { data, width, height };
};

test('a bad camera: at least four of five single pictures of the densest code are read, none wrongly', () => {
  const random = dice(3);
  for (const [letters, fill, blur] of [[311, 0.85, 1], [311, 0.6, 2], [111, 0.85, 1]]) {
    let read = 0;
    for (let i = 0; i < 5; i += 1) {
      const text = some(random, letters);
      const { size, dark } = encode(text);
      const found = decode(shot(random, size, dark, fill, blur));
      if (found === text) read += 1; else expect(found).toBe(null);
    }
    expect(read, `${letters} letters, ${fill}, ${blur}`).toBeGreaterThanOrEqual(4);
  }
});
