/** Run as a program of its own: measures one pair and prints the most memory that took, bytes. */
import { measureDrawing } from '../../src/line/measure-drawing.ts';
import { page } from './measure-pages.ts';

const [width, seed] = process.argv.slice(2).map(Number) as [number, number];
const clean = page(width, 'clean', seed);
const rough = page(width, 'rough', seed);
// What the renderer left behind must not hide what measuring takes.
(globalThis as { gc?: () => void }).gc?.();
const before = process.memoryUsage();
// Large arrays count in arrayBuffers the moment they are made; V8 reports each here as it is allocated.
let most = 0;
const note = () => {
  const now = process.memoryUsage();
  most = Math.max(most, now.arrayBuffers + now.heapUsed - before.arrayBuffers - before.heapUsed);
};
for (const kind of ['Uint8Array', 'Uint16Array', 'Int32Array', 'Float32Array', 'Float64Array'] as const) {
  const plain = globalThis[kind];
  Object.defineProperty(globalThis, kind, {
    value: new Proxy(plain, {
      construct(target, parameters, newTarget) {
        const array = Reflect.construct(target, parameters, newTarget) as ArrayBufferView;
        if (array.byteLength > 100_000) note();
        return array;
      },
    }),
  });
}
measureDrawing(clean, rough);
note();
console.log(most);
