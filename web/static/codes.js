// Codes from screen to camera, without a network: QR codes of versions 1 to 10 in alphanumeric mode with error
// correction M, as ISO/IEC 18004 has them. Loaded when codes are shown or read, and not before.

// ---- The field of 256 elements (polynomial 0x11d) ----
const EXP = new Uint8Array(512);
const LOG = new Uint8Array(256);
for (let i = 0, x = 1; i < 255; i += 1) {
  EXP[i] = x;
  EXP[i + 255] = x;
  LOG[x] = i;
  x = (x << 1) ^ (x & 128 ? 0x11d : 0);
}
const times = (a, b) => (a && b ? EXP[LOG[a] + LOG[b]] : 0);

const LETTERS = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:';
// For each version: check bytes a block, blocks of the short kind and their data bytes, blocks one byte longer.
const BLOCKS = [[], [10, 1, 16, 0], [16, 1, 28, 0], [26, 1, 44, 0], [18, 2, 32, 0], [24, 2, 43, 0], [16, 4, 27, 0],
  [18, 4, 31, 0], [22, 2, 38, 2], [22, 3, 36, 2], [26, 4, 43, 1]];
const ALIGNED = [[], [], [18], [22], [26], [30], [34], [22, 38], [24, 42], [26, 46], [28, 50]];
const sizeOf = (version) => 17 + 4 * version;
const dataBytes = (version) => {
  const [, short, data, long] = BLOCKS[version];
  return short * data + long * (data + 1);
};

const MASKS = [
  (x, y) => (x + y) % 2, (x, y) => y % 2, (x) => x % 3, (x, y) => (x + y) % 3,
  (x, y) => ((y >> 1) + Math.floor(x / 3)) % 2, (x, y) => ((x * y) % 2) + ((x * y) % 3),
  (x, y) => (((x * y) % 2) + ((x * y) % 3)) % 2, (x, y) => (((x + y) % 2) + ((x * y) % 3)) % 2,
];

// Fifteen bits of correction level and mask (M is 00), and eighteen of the version, with their checks.
const checked = (value, bits, polynomial, mask) => {
  let rest = value << bits;
  for (let i = 31; i >= bits; i -= 1) if (rest & (1 << i)) rest ^= polynomial << (i - bits);
  return ((value << bits) | rest) ^ mask;
};
const formatBits = (mask) => checked(mask, 10, 0x537, 0x5412);
const versionBits = (version) => checked(version, 12, 0x1f25, 0);

// Which modules are fixed, and their colours.
const frame = (version) => {
  const size = sizeOf(version);
  const dark = new Uint8Array(size * size);
  const fixed = new Uint8Array(size * size);
  const set = (x, y, on) => {
    if (x < 0 || y < 0 || x >= size || y >= size) return;
    dark[y * size + x] = on ? 1 : 0;
    fixed[y * size + x] = 1;
  };
  for (let i = 0; i < size; i += 1) { set(6, i, i % 2 === 0); set(i, 6, i % 2 === 0); }
  for (const [cx, cy] of [[3, 3], [size - 4, 3], [3, size - 4]]) {
    for (let y = -4; y <= 4; y += 1) {
      for (let x = -4; x <= 4; x += 1) {
        const ring = Math.max(Math.abs(x), Math.abs(y));
        set(cx + x, cy + y, ring !== 2 && ring !== 4);
      }
    }
  }
  const lines = ALIGNED[version].length ? [6, ...ALIGNED[version]] : [];
  for (const cx of lines) {
    for (const cy of lines) {
      const corner = (cx === 6 && cy === 6) || (cx === 6 && cy === size - 7) || (cx === size - 7 && cy === 6);
      if (corner) continue;
      for (let y = -2; y <= 2; y += 1) {
        for (let x = -2; x <= 2; x += 1) set(cx + x, cy + y, Math.max(Math.abs(x), Math.abs(y)) !== 1);
      }
    }
  }
  return { size, dark, fixed, set };
};
// Format bit i stands twice; for reading and for writing.
const formatPlaces = (size) => {
  const first = [];
  const second = [];
  for (let i = 0; i < 15; i += 1) {
    first.push(i < 6 ? [8, i] : i < 8 ? [8, i + 1] : i === 8 ? [7, 8] : [14 - i, 8]);
    second.push(i < 8 ? [size - 1 - i, 8] : [8, size - 15 + i]);
  }
  return [first, second];
};
const reserve = (grid, version, mask) => {
  const { size, set } = grid;
  const bits = formatBits(mask);
  for (const places of formatPlaces(size)) places.forEach(([x, y], i) => set(x, y, (bits >> i) & 1));
  set(8, size - 8, true);
  if (version >= 7) {
    const number = versionBits(version);
    for (let i = 0; i < 18; i += 1) {
      const [a, b] = [size - 11 + (i % 3), Math.floor(i / 3)];
      set(a, b, (number >> i) & 1);
      set(b, a, (number >> i) & 1);
    }
  }
};
// The data's modules in their order: two columns at a time, up and down from the right.
const path = ({ size, fixed }) => {
  const out = [];
  let up = true;
  for (let right = size - 1; right > 0; right -= 2) {
    if (right === 6) right = 5;
    for (let i = 0; i < size; i += 1) {
      const y = up ? size - 1 - i : i;
      for (const x of [right, right - 1]) if (!fixed[y * size + x]) out.push([x, y]);
    }
    up = !up;
  }
  return out;
};

// ---- Making a code ----
const generator = (degree) => {
  let poly = [1];
  for (let i = 0; i < degree; i += 1) {
    const next = new Array(poly.length + 1).fill(0);
    poly.forEach((c, at) => { next[at] ^= c; next[at + 1] ^= times(c, EXP[i]); });
    poly = next;
  }
  return poly;
};
const checkBytes = (data, degree) => {
  const poly = generator(degree);
  const rest = [...data, ...new Array(degree).fill(0)];
  for (let i = 0; i < data.length; i += 1) {
    const lead = rest[i];
    for (let j = 0; j <= degree; j += 1) rest[i + j] ^= times(poly[j], lead);
  }
  return rest.slice(data.length);
};
// How blocks lie in the stream: a list of [block, place] for data, then for check bytes.
const interleaved = (version) => {
  const [check, short, data, long] = BLOCKS[version];
  const count = short + long;
  const order = [];
  for (let i = 0; i <= data; i += 1) {
    for (let b = 0; b < count; b += 1) if (i < data || b >= short) order.push([b, i]);
  }
  for (let i = 0; i < check; i += 1) {
    for (let b = 0; b < count; b += 1) order.push([b, (b < short ? data : data + 1) + i]);
  }
  return order;
};
const penalty = (size, dark) => {
  let sum = 0;
  let count = 0;
  const at = (x, y, flip) => (flip ? dark[x * size + y] : dark[y * size + x]);
  for (const flip of [false, true]) {
    for (let y = 0; y < size; y += 1) {
      let line = '';
      for (let x = 0; x < size; x += 1) line += at(x, y, flip);
      for (const run of line.match(/0{5,}|1{5,}/g) ?? []) sum += run.length - 2;
      for (let x = 0; x <= size - 11; x += 1) {
        const part = line.slice(x, x + 11);
        if (part === '10111010000' || part === '00001011101') sum += 40;
      }
    }
  }
  for (let y = 0; y < size - 1; y += 1) {
    for (let x = 0; x < size - 1; x += 1) {
      const four = dark[y * size + x] + dark[y * size + x + 1] + dark[(y + 1) * size + x] + dark[(y + 1) * size + x + 1];
      if (four % 4 === 0) sum += 3;
    }
  }
  for (const one of dark) count += one;
  return sum + 10 * Math.floor(Math.abs((count * 20) / (size * size) - 10));
};

/** The smallest code that holds a text: its size, and a byte for each module, row by row, 1 for dark. */
export const encode = (text) => {
  const codes = [...text].map((letter) => LETTERS.indexOf(letter));
  if (codes.includes(-1)) throw new Error('a letter that these codes do not have');
  const need = (version) => 4 + (version < 10 ? 9 : 11) + 11 * (codes.length >> 1) + 6 * (codes.length & 1);
  let version = 1;
  while (version <= 10 && need(version) > 8 * dataBytes(version)) version += 1;
  if (version > 10) throw new Error('too long for one code');
  const bits = [];
  const push = (value, length) => { for (let i = length - 1; i >= 0; i -= 1) bits.push((value >> i) & 1); };
  push(2, 4);
  push(codes.length, version < 10 ? 9 : 11);
  for (let i = 0; i < codes.length; i += 2) {
    if (i + 1 < codes.length) push(codes[i] * 45 + codes[i + 1], 11); else push(codes[i], 6);
  }
  const room = 8 * dataBytes(version);
  push(0, Math.min(4, room - bits.length));
  while (bits.length % 8) bits.push(0);
  for (let pad = 0xec; bits.length < room; pad ^= 0xfd) push(pad, 8);
  const bytes = [];
  for (let i = 0; i < bits.length; i += 8) bytes.push(parseInt(bits.slice(i, i + 8).join(''), 2));
  const [check, short, data, long] = BLOCKS[version];
  const blocks = [];
  for (let b = 0, from = 0; b < short + long; b += 1) {
    const part = bytes.slice(from, from + data + (b < short ? 0 : 1));
    from += part.length;
    blocks.push([...part, ...checkBytes(part, check)]);
  }
  const stream = interleaved(version).map(([block, place]) => blocks[block][place]);
  let best = null;
  for (let mask = 0; mask < 8; mask += 1) {
    const grid = frame(version);
    reserve(grid, version, mask);
    path(grid).forEach(([x, y], i) => {
      const bit = i >> 3 < stream.length ? (stream[i >> 3] >> (7 - (i & 7))) & 1 : 0;
      grid.dark[y * grid.size + x] = bit ^ (MASKS[mask](x, y) === 0 ? 1 : 0);
    });
    const score = penalty(grid.size, grid.dark);
    if (!best || score < best.score) best = { score, size: grid.size, dark: grid.dark };
  }
  return { size: best.size, dark: best.dark };
};

// ---- Reading a code ----
// Repairs a block in place (Berlekamp–Massey, Chien, Forney); false where too much of it is wrong.
const repair = (block, check) => {
  const syndromes = [];
  for (let i = 0; i < check; i += 1) {
    let sum = 0;
    for (const byte of block) sum = times(sum, EXP[i]) ^ byte;
    syndromes.push(sum);
  }
  if (syndromes.every((s) => s === 0)) return true;
  let locator = [1];
  let before = [1];
  let length = 0;
  let shift = 1;
  let last = 1;
  for (let n = 0; n < check; n += 1) {
    let gap = syndromes[n];
    for (let i = 1; i <= length; i += 1) gap ^= times(locator[i] ?? 0, syndromes[n - i]);
    if (gap === 0) { shift += 1; continue; }
    const kept = locator.slice();
    const factor = times(gap, EXP[255 - LOG[last]]);
    before.forEach((c, i) => { locator[i + shift] = (locator[i + shift] ?? 0) ^ times(factor, c); });
    for (let i = 0; i < locator.length; i += 1) locator[i] ??= 0;
    if (2 * length <= n) { length = n + 1 - length; before = kept; last = gap; shift = 1; } else shift += 1;
  }
  if (length * 2 > check) return false;
  const at = (poly, x) => poly.reduceRight((sum, c) => times(sum, x) ^ c, 0);
  const places = [];
  for (let i = 0; i < block.length; i += 1) if (at(locator, EXP[(255 - i) % 255]) === 0) places.push(i);
  if (places.length !== length) return false;
  const value = [];
  for (let i = 0; i < check; i += 1) {
    let sum = 0;
    for (let j = 0; j <= i; j += 1) sum ^= times(locator[j] ?? 0, syndromes[i - j]);
    value.push(sum);
  }
  for (const place of places) {
    const root = EXP[(255 - place) % 255];
    let slope = 0;
    for (let i = 1; i < locator.length; i += 2) slope ^= times(locator[i], EXP[(LOG[root] * (i - 1)) % 255]);
    if (slope === 0) return false;
    const wrong = times(times(at(value, root), EXP[255 - LOG[slope]]), EXP[place % 255]);
    block[block.length - 1 - place] ^= wrong;
  }
  return true;
};

const fewest = (read, choices, limit) => {
  let best = null;
  choices.forEach((bits, at) => {
    let count = 0;
    for (let rest = bits ^ read; rest; rest &= rest - 1) count += 1;
    if (count <= limit && (!best || count < best.count)) best = { count, at };
  });
  return best;
};

// The text of a grid of modules; null where it is none of these codes.
const readGrid = (version, dark) => {
  const size = sizeOf(version);
  let mask = null;
  for (const places of formatPlaces(size)) {
    let read = 0;
    places.forEach(([x, y], i) => { read |= dark[y * size + x] << i; });
    const found = fewest(read, [0, 1, 2, 3, 4, 5, 6, 7].map(formatBits), 3);
    if (found && (!mask || found.count < mask.count)) mask = found;
  }
  if (!mask) return null;
  const grid = frame(version);
  reserve(grid, version, mask.at);
  const [check, short, data, long] = BLOCKS[version];
  const blocks = Array.from({ length: short + long }, () => []);
  const places = path(grid);
  interleaved(version).forEach(([block, place], n) => {
    let byte = 0;
    for (let i = 0; i < 8; i += 1) {
      const [x, y] = places[8 * n + i];
      byte = (byte << 1) | (dark[y * size + x] ^ (MASKS[mask.at](x, y) === 0 ? 1 : 0));
    }
    blocks[block][place] = byte;
  });
  const bytes = [];
  for (let b = 0; b < blocks.length; b += 1) {
    if (!repair(blocks[b], check)) return null;
    bytes.push(...blocks[b].slice(0, data + (b < short ? 0 : 1)));
  }
  let at = 0;
  const take = (length) => {
    let value = 0;
    for (let i = 0; i < length; i += 1, at += 1) value = (value << 1) | ((bytes[at >> 3] >> (7 - (at & 7))) & 1);
    return value;
  };
  if (take(4) !== 2) return null;
  const count = take(version < 10 ? 9 : 11);
  if (11 * (count >> 1) + 6 * (count & 1) + at > 8 * bytes.length) return null;
  let text = '';
  for (let left = count; left > 0; left -= 2) {
    const value = take(left > 1 ? 11 : 6);
    if (value >= (left > 1 ? 2025 : 45)) return null;
    text += left > 1 ? LETTERS[Math.floor(value / 45)] + LETTERS[value % 45] : LETTERS[value];
  }
  return text;
};

// Dark or light by the mean of the neighbourhood: 8 × 8 blocks, five by five of them.
const blackAndWhite = ({ data, width, height }) => {
  const grey = new Uint8Array(width * height);
  for (let i = 0; i < grey.length; i += 1) grey[i] = (data[4 * i] + 2 * data[4 * i + 1] + data[4 * i + 2]) >> 2;
  const columns = Math.ceil(width / 8);
  const rows = Math.ceil(height / 8);
  const means = new Float32Array(columns * rows);
  for (let by = 0; by < rows; by += 1) {
    for (let bx = 0; bx < columns; bx += 1) {
      let [sum, count, least, most] = [0, 0, 255, 0];
      for (let y = 8 * by; y < Math.min(8 * by + 8, height); y += 1) {
        for (let x = 8 * bx; x < Math.min(8 * bx + 8, width); x += 1) {
          const value = grey[y * width + x];
          sum += value;
          count += 1;
          least = Math.min(least, value);
          most = Math.max(most, value);
        }
      }
      // A block of one colour is taken for light, unless its neighbours are darker still.
      let mean = sum / count;
      if (most - least < 24) {
        mean = least / 2;
        if (bx && by) {
          const near = (means[by * columns + bx - 1] + means[(by - 1) * columns + bx]) / 2;
          if (least < near) mean = near;
        }
      }
      means[by * columns + bx] = mean;
    }
  }
  const dark = new Uint8Array(width * height);
  for (let by = 0; by < rows; by += 1) {
    for (let bx = 0; bx < columns; bx += 1) {
      const [cx, cy] = [Math.max(2, Math.min(bx, columns - 3)), Math.max(2, Math.min(by, rows - 3))];
      let sum = 0;
      for (let y = -2; y <= 2; y += 1) for (let x = -2; x <= 2; x += 1) sum += means[(cy + y) * columns + cx + x] ?? 128;
      const limit = sum / 25;
      for (let y = 8 * by; y < Math.min(8 * by + 8, height); y += 1) {
        for (let x = 8 * bx; x < Math.min(8 * bx + 8, width); x += 1) dark[y * width + x] = grey[y * width + x] <= limit ? 1 : 0;
      }
    }
  }
  return { dark, width, height };
};

// Runs through a point along a direction: dark, light, dark core, light, dark; their lengths, or null.
const crossing = ({ dark, width, height }, x, y, dx, dy, most) => {
  const at = (px, py) => (px < 0 || py < 0 || px >= width || py >= height ? -1 : dark[py * width + px]);
  const runs = [0, 0, 0, 0, 0];
  for (const side of [-1, 1]) {
    let [px, py] = side < 0 ? [x, y] : [x + dx, y + dy];
    for (const [run, colour] of [[2, 1], [2 + side, 0], [2 + 2 * side, 1]]) {
      while (at(px, py) === colour && runs[run] < most) { runs[run] += 1; px += side * dx; py += side * dy; }
    }
  }
  return runs;
};
const isFinder = (runs) => {
  const sum = runs.reduce((a, b) => a + b, 0);
  if (sum < 7 || runs.includes(0)) return 0;
  const module = sum / 7;
  const fits = runs.every((run, i) => Math.abs(run - (i === 2 ? 3 : 1) * module) < (i === 2 ? 1.5 : 0.75) * module);
  return fits ? module : 0;
};

const finders = (image) => {
  const { dark, width, height } = image;
  const found = [];
  for (let y = 1; y < height; y += 2) {
    let runs = [0, 0, 0, 0, 0];
    let colour = 0;
    let run = 0;
    const check = (end) => {
      if (!isFinder(runs)) return;
      const x = Math.round(end - runs[4] - runs[3] - runs[2] / 2 - 0.5);
      const down = crossing(image, x, y, 0, 1, height);
      if (!isFinder(down)) return;
      // The middle of the core, down and then across it.
      let top = y;
      while (top > 0 && dark[(top - 1) * width + x]) top -= 1;
      const cy = top + (down[2] - 1) / 2;
      const across = crossing(image, x, Math.round(cy), 1, 0, width);
      const module = isFinder(across);
      if (!module) return;
      let left = x;
      while (left > 0 && dark[Math.round(cy) * width + left - 1]) left -= 1;
      const cx = left + (across[2] - 1) / 2;
      const size = (module + isFinder(down)) / 2;
      const same = found.find((one) => Math.hypot(one.x - cx, one.y - cy) < 4 * size);
      if (same) {
        const n = same.count;
        same.x = (same.x * n + cx) / (n + 1);
        same.y = (same.y * n + cy) / (n + 1);
        same.module = (same.module * n + size) / (n + 1);
        same.count += 1;
      } else found.push({ x: cx, y: cy, module: size, count: 1 });
    };
    for (let x = 0; x <= width; x += 1) {
      const value = x < width ? dark[y * width + x] : 1 - colour;
      if (value === colour) { run += 1; continue; }
      runs = [...runs.slice(1), run];
      if (colour === 1) check(x);
      colour = value;
      run = 1;
    }
  }
  return found.sort((a, b) => b.count - a.count).slice(0, 8);
};

// Solves the eight numbers of the projection that takes four points to four points.
const projection = (from, to) => {
  const rows = [];
  from.forEach(([x, y], i) => {
    const [u, v] = to[i];
    rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y, u], [0, 0, 0, x, y, 1, -v * x, -v * y, v]);
  });
  for (let c = 0; c < 8; c += 1) {
    let pivot = c;
    for (let r = c; r < 8; r += 1) if (Math.abs(rows[r][c]) > Math.abs(rows[pivot][c])) pivot = r;
    [rows[c], rows[pivot]] = [rows[pivot], rows[c]];
    if (Math.abs(rows[c][c]) < 1e-12) return null;
    for (let r = 0; r < 8; r += 1) {
      if (r === c) continue;
      const factor = rows[r][c] / rows[c][c];
      for (let k = c; k < 9; k += 1) rows[r][k] -= factor * rows[c][k];
    }
  }
  const h = rows.map((row, i) => row[8] / row[i]);
  return (x, y) => {
    const w = h[6] * x + h[7] * y + 1;
    return [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w];
  };
};

// The alignment pattern near a point: the middle whose rings fit best.
const alignment = (image, px, py, ux, uy, module) => {
  const { dark, width, height } = image;
  const at = (x, y) => {
    const [ix, iy] = [Math.round(x), Math.round(y)];
    return ix < 0 || iy < 0 || ix >= width || iy >= height ? -1 : dark[iy * width + ix];
  };
  const reach = Math.ceil(4.5 * module);
  let best = null;
  const step = Math.max(1, Math.floor(module / 3));
  for (let dy = -reach; dy <= reach; dy += step) {
    for (let dx = -reach; dx <= reach; dx += step) {
      let fit = 0;
      for (let b = -2; b <= 2; b += 1) {
        for (let a = -2; a <= 2; a += 1) {
          const want = Math.max(Math.abs(a), Math.abs(b)) !== 1 ? 1 : 0;
          if (at(px + dx + a * ux[0] + b * uy[0], py + dy + a * ux[1] + b * uy[1]) === want) fit += 1;
        }
      }
      const score = fit - Math.hypot(dx, dy) / (20 * module);
      if (!best || score > best.score) best = { score, fit, x: px + dx, y: py + dy };
    }
  }
  if (best.fit < 22) return null;
  // The middle of all places around that fit as well.
  let [sx, sy, n] = [0, 0, 0];
  for (let dy = -module; dy <= module; dy += 0.5) {
    for (let dx = -module; dx <= module; dx += 0.5) {
      let fit = 0;
      for (let b = -2; b <= 2; b += 1) {
        for (let a = -2; a <= 2; a += 1) {
          const want = Math.max(Math.abs(a), Math.abs(b)) !== 1 ? 1 : 0;
          if (at(best.x + dx + a * ux[0] + b * uy[0], best.y + dy + a * ux[1] + b * uy[1]) === want) fit += 1;
        }
      }
      if (fit >= best.fit) { sx += best.x + dx; sy += best.y + dy; n += 1; }
    }
  }
  return n ? [sx / n, sy / n] : [best.x, best.y];
};

const sample = (image, version, map) => {
  const size = sizeOf(version);
  const out = new Uint8Array(size * size);
  for (let y = 0; y < size; y += 1) {
    for (let x = 0; x < size; x += 1) {
      const [px, py] = map(x + 0.5, y + 0.5);
      const [ix, iy] = [Math.floor(px + 0.5), Math.floor(py + 0.5)];
      if (ix < 0 || iy < 0 || ix >= image.width || iy >= image.height) return null;
      out[y * size + x] = image.dark[iy * image.width + ix];
    }
  }
  return out;
};

const readAt = (image, [corner, right, below]) => {
  const module = (corner.module + right.module + below.module) / 3;
  const across = Math.hypot(right.x - corner.x, right.y - corner.y);
  const down = Math.hypot(below.x - corner.x, below.y - corner.y);
  const guess = ((across + down) / 2 / module + 7 - 17) / 4;
  const tried = new Set();
  for (const version of [Math.round(guess), Math.floor(guess), Math.ceil(guess), Math.round(guess) - 1, Math.round(guess) + 1]) {
    if (version < 1 || version > 10 || tried.has(version)) continue;
    tried.add(version);
    const size = sizeOf(version);
    const span = size - 7;
    const ux = [(right.x - corner.x) / span, (right.y - corner.y) / span];
    const uy = [(below.x - corner.x) / span, (below.y - corner.y) / span];
    const from = [[3.5, 3.5], [size - 3.5, 3.5], [3.5, size - 3.5]];
    const to = [[corner.x, corner.y], [right.x, right.y], [below.x, below.y]];
    const far = [corner.x + span * (ux[0] + uy[0]), corner.y + span * (ux[1] + uy[1])];
    const maps = [];
    if (version > 1) {
      const [ax, ay] = [corner.x + (span - 3) * (ux[0] + uy[0]), corner.y + (span - 3) * (ux[1] + uy[1])];
      const found = alignment(image, ax, ay, ux, uy, module);
      if (found) maps.push(projection([...from, [size - 6.5, size - 6.5]], [...to, found]));
    }
    maps.push(projection([...from, [size - 3.5, size - 3.5]], [...to, far]));
    for (const map of maps) {
      const grid = map && sample(image, version, map);
      const text = grid && readGrid(version, grid);
      if (text !== null && text) return text;
    }
  }
  return null;
};

// A picture of half the size: large codes are read from it, and small noise is gone.
const half = ({ data, width, height }) => {
  const [w, h] = [width >> 1, height >> 1];
  const out = new Uint8ClampedArray(4 * w * h);
  for (let y = 0; y < h; y += 1) {
    for (let x = 0; x < w; x += 1) {
      const from = 4 * (2 * y * width + 2 * x);
      for (let c = 0; c < 3; c += 1) {
        out[4 * (y * w + x) + c] = (data[from + c] + data[from + 4 + c] + data[from + 4 * width + c] + data[from + 4 * width + 4 + c]) >> 2;
      }
    }
  }
  return { data: out, width: w, height: h };
};

const read = (picture) => {
  const image = blackAndWhite(picture);
  const list = finders(image);
  for (let a = 0; a < list.length; a += 1) {
    for (let b = 0; b < list.length; b += 1) {
      for (let c = b + 1; c < list.length; c += 1) {
        if (a === b || a === c) continue;
        const [p, q, r] = [list[a], list[b], list[c]];
        const [dx, dy, ex, ey] = [q.x - p.x, q.y - p.y, r.x - p.x, r.y - p.y];
        const [d, e] = [Math.hypot(dx, dy), Math.hypot(ex, ey)];
        // Near a right angle, arms of like length, marks of like size.
        if (Math.abs(dx * ex + dy * ey) > 0.35 * d * e || d > 1.6 * e || e > 1.6 * d) continue;
        const modules = [p.module, q.module, r.module];
        if (Math.max(...modules) > 1.6 * Math.min(...modules)) continue;
        const text = readAt(image, dx * ey - dy * ex > 0 ? [p, q, r] : [p, r, q]);
        if (text !== null) return text;
      }
    }
  }
  return null;
};

/** The text of a code of ours in a picture (width, height, RGBA data); null where none is found. */
export const decode = (picture) => read(half(picture)) ?? read(picture);

// ---- Screens: codes shown one after another, and a camera that reads them ----
// Words come in one text, parted by |: code {n} of {of}, back, next, close, hold, missing {list}, no camera,
// too much.
const screen = (words) => {
  const [count, back, next, close, hold, missing, refused, tooMuch] = words.split('|');
  const dialog = document.createElement('dialog');
  dialog.className = 'codes';
  const say = document.createElement('p');
  say.setAttribute('role', 'status');
  const keys = document.createElement('div');
  const key = (label, act) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = label;
    button.onclick = act;
    keys.append(button);
  };
  const shown = document.createElement('div');
  dialog.append(shown, say, keys);
  document.body.append(dialog);
  const leave = document.activeElement;
  dialog.addEventListener('close', () => { dialog.remove(); leave?.focus?.(); });
  dialog.showModal();
  return { dialog, say, key, shown, count, back, next, close, hold, missing, refused, tooMuch };
};
const filled = (sentence, values) => sentence.replace(/\{(\w+)\}/g, (_, name) => values[name]);

/** Shows frames as codes, each for a moment, on and on; the keys step by hand and stop the clock. */
export const show = (frames, words) => {
  const { dialog, say, key, shown, count, back, next, close, tooMuch } = screen(words);
  if (!frames.length) {
    say.textContent = tooMuch;
    key(close, () => dialog.close());
    return;
  }
  const awake = window.drycurb.stayAwake();
  let at = 0;
  const draw = () => {
    const { size, dark } = encode(frames[at]);
    let d = '';
    dark.forEach((on, i) => { if (on) d += `M${(i % size) + 4} ${Math.floor(i / size) + 4}h1v1h-1z`; });
    shown.innerHTML = `<svg viewBox="0 0 ${size + 8} ${size + 8}" shape-rendering="crispEdges" role="img"><path d="${d}"/></svg>`;
    say.textContent = filled(count, { n: at + 1, of: frames.length });
    dialog.dataset.frame = frames[at];
  };
  const step = (by) => { at = (at + by + frames.length) % frames.length; draw(); };
  let clock = frames.length > 1 ? setInterval(() => step(1), 900) : 0;
  const byHand = (by) => () => { clearInterval(clock); clock = 0; step(by); };
  if (frames.length > 1) { key(back, byHand(-1)); key(next, byHand(1)); }
  key(close, () => dialog.close());
  dialog.addEventListener('close', () => { clearInterval(clock); awake(); });
  draw();
};

/** Reads codes with the camera until `take` has all it wants. `take` gives what is missing, or nothing more to do. */
export const scan = async (words, take) => {
  const { dialog, say, key, shown, close, hold, missing, refused } = screen(words);
  let live = true;
  let stream = null;
  const awake = window.drycurb.stayAwake();
  key(close, () => dialog.close());
  dialog.addEventListener('close', () => {
    live = false;
    awake();
    stream?.getTracks().forEach((track) => track.stop());
  });
  const video = document.createElement('video');
  video.muted = true;
  video.playsInline = true;
  shown.append(video);
  say.textContent = hold;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment', width: { ideal: 1280 } } });
    if (!live) { stream.getTracks().forEach((track) => track.stop()); return; }
    video.srcObject = stream;
    await video.play();
  } catch {
    say.textContent = refused;
    return;
  }
  // The phone's own reader first, where it has one; ours beside it, so that a stuck one does no harm.
  let own = null;
  try {
    const kinds = await window.BarcodeDetector?.getSupportedFormats?.();
    if (kinds?.includes('qr_code')) own = new window.BarcodeDetector({ formats: ['qr_code'] });
  } catch { /* ours reads */ }
  const canvas = document.createElement('canvas');
  const context = canvas.getContext('2d', { willReadFrequently: true });
  const look = async () => {
    const scale = Math.min(1, 960 / Math.max(video.videoWidth, video.videoHeight));
    canvas.width = Math.round(video.videoWidth * scale);
    canvas.height = Math.round(video.videoHeight * scale);
    if (!canvas.width) return [];
    context.drawImage(video, 0, 0, canvas.width, canvas.height);
    if (own) {
      try {
        const found = await own.detect(canvas);
        if (found.length) return found.map((one) => one.rawValue);
      } catch { own = null; }
    }
    const text = decode(context.getImageData(0, 0, canvas.width, canvas.height));
    return text === null ? [] : [text];
  };
  while (live) {
    for (const text of await look()) {
      const left = take(text);
      if (left === null) { dialog.close(); return; }
      if (left) say.textContent = filled(missing, { list: left });
    }
    await new Promise((resolve) => { setTimeout(resolve, 60); });
  }
};

// Small before it is cut into frames: a byte says how, then the text as UTF-8, deflated where the browser can.
const through = async (bytes, stream) => new Uint8Array(await new Response(new Blob([bytes]).stream().pipeThrough(stream)).arrayBuffer());
export const pack = async (text) => {
  const plain = new TextEncoder().encode(text);
  if (!window.CompressionStream) return Uint8Array.of(0, ...plain);
  return Uint8Array.of(1, ...await through(plain, new CompressionStream('deflate-raw')));
};
export const unpack = async (bytes) => {
  const body = bytes.subarray(1);
  const plain = bytes[0] === 1 ? await through(body, new DecompressionStream('deflate-raw')) : body;
  return new TextDecoder().decode(plain);
};
