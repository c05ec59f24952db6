// Serves a built page from a folder. `node tests/tools/serve.mjs [folder] [port]` prints its address and stays.
import { createReadStream, existsSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, normalize, resolve, sep } from 'node:path';
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
// Only a name that changes with the content may be kept without asking.
const NAMED_BY_CONTENT = /-[0-9a-f]{16}(_bg)?\.[a-z]+$/;

/**
 * Starts a server on a free port (or `port`); gives its address and a way to stop it at once. `moved` names paths that
 * are answered with a redirect, as some hosts do.
 */
export const serve = (folder, port = 0, host = '127.0.0.1', moved = {}) => new Promise((started, failed) => {
  const root = resolve(folder);
  const sockets = new Set();
  const server = createServer((request, response) => {
    let path;
    try {
      path = decodeURIComponent(new URL(request.url, 'http://x').pathname);
    } catch {
      response.writeHead(400).end();
      return;
    }
    if (moved[path]) {
      response.writeHead(308, { location: moved[path] }).end();
      return;
    }
    if (path.endsWith('/')) path += 'index.html';
    const file = normalize(join(root, path));
    if (!file.startsWith(root + sep) || !existsSync(file) || !statSync(file).isFile()) {
      response.writeHead(404).end();
      return;
    }
    response.writeHead(200, {
      'content-type': TYPES[extname(file)] ?? 'application/octet-stream',
      'content-length': statSync(file).size,
      'cache-control': NAMED_BY_CONTENT.test(path) ? 'public, max-age=31536000, immutable' : 'no-cache',
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
