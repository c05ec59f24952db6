// The same module as the page, in a worker: answers the JSON door's questions off the main thread.
import init from './__GLUE__';

// What is asked while the module is still starting waits; the module then takes over the hearing.
const early = [];
self.onmessage = (event) => early.push(event);
await init({ module_or_path: './__WASM__' });
early.forEach((event) => self.onmessage(event));
