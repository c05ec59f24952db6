// Serves a built page from a folder. `node tests/tools/serve.mjs [folder] [port]` prints its address and stays.
import { createReadStream, existsSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, normalize, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.wasm': 'application/wasm',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.webmanifest': 'application/manifest+json',
};
const ALWAYS_FRESH = new Set(['/index.html', '/sw.js', '/manifest.webmanifest']);

/** Starts a server on a free port (or `port`); gives its address and a way to stop it at once. */
export const serve = (folder, port = 0, host = '127.0.0.1') => new Promise((started, failed) => {
  const root = resolve(folder);
  const sockets = new Set();
  const server = createServer((request, response) => {
    let path = decodeURIComponent(new URL(request.url, 'http://x').pathname);
    if (path.endsWith('/')) path += 'index.html';
    const file = normalize(join(root, path));
    if (!file.startsWith(root) || !existsSync(file) || !statSync(file).isFile()) {
      response.writeHead(404).end();
      return;
    }
    response.writeHead(200, {
      'content-type': TYPES[extname(file)] ?? 'application/octet-stream',
      'content-length': statSync(file).size,
      'cache-control': ALWAYS_FRESH.has(path) ? 'no-cache' : 'public, max-age=31536000, immutable',
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
    });
    createReadStream(file).pipe(response);
  });
  server.on('connection', (socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
  });
  server.on('error', failed);
  server.listen(port, host, () => started({
    address: `http://localhost:${server.address().port}/`,
    stop: () => new Promise((stopped) => {
      server.close(stopped);
      sockets.forEach((socket) => socket.destroy());
    }),
  }));
});

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { address } = await serve(process.argv[2] ?? 'dist', Number(process.argv[3] ?? 8080), '0.0.0.0');
  console.log(`Drycurb is at ${address}  (stop with Ctrl-C)`);
}
