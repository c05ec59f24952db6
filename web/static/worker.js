// Starts the planner's module, which answers the JSON door's questions off the main thread.
import init from './planner.js';

// What is asked while the module is still starting waits; the module then takes over the hearing.
const early = [];
self.onmessage = (event) => early.push(event);
await init({ module_or_path: './planner_bg.wasm' });
early.forEach((event) => self.onmessage(event));
