/**
 * The stage: puts camera, pictures, painter, layers and gestures together. See README.md. A little over 300 lines: what is
 * together here shares one frame's state.
 */
import type { Box } from '../line/picture.ts';
import type { ImageRef } from '../shot/model.ts';
import * as cam from './camera.ts';
import { createCanvasPainter } from './canvas-painter.ts';
import { onColoursChange, readColours } from './colours.ts';
import { createGlPainter } from './gl-painter.ts';
import { createHands } from './hands.ts';
import { createLayers } from './layers.ts';
import type { LaidPly, Painter } from './painter.ts';
import { clips, frameAt, frames, imagesOf, type Pane, type Ply, panes, stacked } from './panes.ts';
import { createPictures } from './pictures.ts';
import type {
  Camera,
  Compare,
  PictureSource,
  Shown,
  Spread,
  Stage,
  StageEvents,
  StageOptions,
} from './types.ts';
import { createWipeLine } from './wipe-line.ts';

/** Start value on a tablet: a tab has about 1.5 GB and dies without a word beyond it. */
const BUDGET_BYTES = 300e6;
/** The hand rests when nothing moved for this long; then originals are decoded. */
const REST_MS = 180;

interface View {
  readonly spread: Spread;
  readonly compare: Compare;
}

/**
 * Builds the stage into `element` (which must be positioned and sized by the page) and takes its gestures.
 * The desk owns what is shown; the stage owns the camera and says what is truly on screen.
 */
export function createStage(
  element: HTMLElement,
  source: PictureSource,
  events: StageEvents,
  options: StageOptions = {},
): Stage {
  const budgetBytes = options.budgetBytes ?? BUDGET_BYTES;
  const root = document.createElement('div');
  root.style.cssText = 'position:absolute;inset:0;overflow:hidden';
  const canvas = document.createElement('canvas');
  canvas.style.cssText = 'position:absolute;inset:0;width:100%;height:100%;display:block';
  root.append(canvas);
  element.append(root);

  let sizePx: cam.Point = [1, 1];
  let ratio = 1;
  let paperPx: cam.Point = [1920, 1080];
  let camera: Camera = { centre: [960, 540], zoom: 1, angleRad: 0, mirrored: false };
  /** Set by `fit` until the hand moves the paper: a turned tablet then fits it again. */
  let stayFitted = true;
  /** A paper that fills the screen needs no room round it. */
  let edgeToEdge = false;
  let wanted: View | undefined;
  let current: View | undefined;
  let compare: Compare = { way: 'clean' };
  let lastShown: Shown | undefined;
  let colours = readColours(element);
  let frameRequest = 0;
  let viewChanged = true;
  let restTimer: ReturnType<typeof setTimeout> | undefined;
  let lost = false;
  /** Layers that ask now are drawn in this very frame. */
  let painting = false;
  let painter: Painter = createGlPainter(canvas) ?? createCanvasPainter(canvas);

  const pictures = createPictures({
    source,
    budgetBytes,
    painter: () => painter,
    changed: invalidate,
    view: (image) => ({ visible: visibleBox(image), devicePxPerImagePx: camera.zoom * ratio }),
  });
  const layers = createLayers(root, () => {
    if (!painting) invalidate();
  });
  const wipeLine = createWipeLine(root);

  function invalidate(): void {
    frameRequest ||= requestAnimationFrame(draw);
  }

  function handMoved(): void {
    pictures.rest(false);
    clearTimeout(restTimer);
    restTimer = setTimeout(() => pictures.rest(true), REST_MS);
    invalidate();
  }

  const currentFrames = () => frames(compare, sizePx, paperPx);
  const currentClips = () => clips(compare, sizePx, paperPx);
  const mainFrame = () => currentFrames()[0] as cam.Frame;
  const fitted = () =>
    cam.fitted(camera, paperPx, mainFrame(), edgeToEdge && compare.way !== 'side by side' ? 0 : undefined);

  function setCamera(next: Camera): void {
    camera = cam.clamped(next, paperPx, mainFrame());
    viewChanged = true;
    handMoved();
    events.camera(camera, stayFitted);
  }

  /** An image lies centred on the paper, px for px. */
  function boxOf(image: ImageRef): Box {
    return [(paperPx[0] - image.width) / 2, (paperPx[1] - image.height) / 2, image.width, image.height];
  }

  /** The part of an image that is on screen, image px; it may reach beyond the image. */
  function visibleBox(image: ImageRef): Box {
    const [left, top] = boxOf(image);
    const frame = mainFrame();
    const back = cam.invert(cam.paperToStage(camera, frame));
    const [x, y, width, height] = currentClips()[0] as cam.Frame;
    const corners = [
      [x, y],
      [x + width, y],
      [x, y + height],
      [x + width, y + height],
    ].map((corner) => cam.apply(back, corner as unknown as cam.Point));
    const xs = corners.map((corner) => corner[0] - left);
    const ys = corners.map((corner) => corner[1] - top);
    const [minX, minY] = [Math.min(...xs), Math.min(...ys)];
    return [minX, minY, Math.max(...xs) - minX, Math.max(...ys) - minY];
  }

  function lay(pane: Pane): { plies: LaidPly[]; shown: Pick<Shown, 'quality' | 'complete'> } {
    const plies: LaidPly[] = [];
    let [quality, complete]: [Shown['quality'], boolean] = ['full', true];
    const order = ['thumb', 'flip', 'full'] as const;
    for (const { image, ...ply } of pane.plies satisfies readonly Ply[]) {
      const best = pictures.best(image);
      if (!best) {
        complete = false;
        continue;
      }
      if (order.indexOf(best.quality) < order.indexOf(quality)) quality = best.quality;
      plies.push({ ...ply, sheet: best.sheet, box: boxOf(image) });
    }
    return { plies, shown: { quality, complete } };
  }

  function draw(): void {
    frameRequest = 0;
    if (lost || !wanted) return;
    // What cannot be drawn yet waits; until then the picture and the number told last stay as they are.
    const ready = imagesOf(wanted.spread, wanted.compare).every((image) => pictures.drawable(image));
    if (ready) current = wanted;
    const view = current ?? wanted;
    const laid = panes(view.spread, view.compare, sizePx, paperPx).map((pane) => ({ pane, ...lay(pane) }));
    painter.paint({
      ...colours,
      paperPx,
      panes: laid.map(({ pane, plies }) => ({
        place: cam.paperToStage(camera, pane.frame),
        clip: pane.clip,
        blend: pane.blend,
        plies,
      })),
    });
    wipeLine.place(view.compare, sizePx);
    const worst = (['thumb', 'flip', 'full'] as const).find((each) =>
      laid.some(({ shown }) => shown.quality === each),
    );
    painting = true;
    tell({
      key: view.spread.key,
      way: view.compare.way,
      quality: current ? (worst ?? 'full') : 'thumb',
      complete: current !== undefined && laid.every(({ shown }) => shown.complete),
    });
    // After it was told, so that what lies on a drawing comes and goes in the same picture as the drawing.
    const placed = {
      frames: frames(view.compare, sizePx, paperPx),
      clips: clips(view.compare, sizePx, paperPx),
    };
    layers.paint({ camera, ...placed, sizePx, ratio }, viewChanged);
    painting = false;
    viewChanged = false;
  }

  function tell(shown: Shown): void {
    const before = lastShown;
    lastShown = shown;
    const same =
      before?.key === shown.key &&
      before.way === shown.way &&
      before.quality === shown.quality &&
      before.complete === shown.complete;
    if (!same) events.shown(shown);
  }

  function want(spread: Spread): void {
    wanted = { spread, compare };
    pictures.want(imagesOf(spread, compare), [...spread.clean, ...spread.rough]);
    handMoved();
  }

  function resize(): void {
    const { width, height } = element.getBoundingClientRect();
    if (!width || !height) return;
    ratio = devicePixelRatio || 1;
    sizePx = [width, height];
    painter.resize(Math.round(width * ratio), Math.round(height * ratio), ratio);
    setCamera(stayFitted ? fitted() : camera);
    // Drawn at once: a resized canvas is blank until it is painted, and that must never reach the screen.
    cancelAnimationFrame(frameRequest);
    draw();
  }

  /** The frame whose view lies under a point. */
  const frameUnder = (point: cam.Point) => currentFrames()[frameAt(currentClips(), point)] ?? mainFrame();
  const toPaper = (point: cam.Point) =>
    cam.apply(cam.invert(cam.paperToStage(camera, frameUnder(point))), point);
  const moveByHand = (next: Camera) => {
    stayFitted = false;
    setCamera(next);
  };

  const hands = createHands(element, events, {
    flipStepPx: options.flipStepPx,
    toPaper,
    grip(grip) {
      moveByHand(cam.gripped(camera, grip, paperPx, frameUnder(grip.from)));
    },
    wipeAt: () => (compare.way === 'wipe' ? compare.at * sizePx[0] : undefined),
    wipe(atPx) {
      const at = Math.min(1, Math.max(0, atPx / sizePx[0]));
      stage.compare({ way: 'wipe', at });
      events.wipe(at);
    },
  });

  const onLost = (event: Event) => {
    // Without this the browser never gives the context back.
    event.preventDefault();
    lost = true;
    lastShown = undefined;
    pictures.forget();
    events.lost('lost');
  };
  const onRestored = () => {
    painter = createGlPainter(canvas) ?? painter;
    // Pictures that came while it was lost went nowhere.
    pictures.forget();
    lost = false;
    viewChanged = true;
    resize();
    if (wanted) want(wanted.spread);
    events.lost('restored');
  };
  canvas.addEventListener('webglcontextlost', onLost);
  canvas.addEventListener('webglcontextrestored', onRestored);
  const sizeWatch = new ResizeObserver(resize);
  sizeWatch.observe(element);
  const stopColours = onColoursChange(() => {
    colours = readColours(element);
    invalidate();
  });

  const stage: Stage = {
    show: want,
    compare(next) {
      const wasSplit = compare.way === 'side by side';
      compare = next;
      if (wasSplit !== (next.way === 'side by side')) {
        viewChanged = true;
        setCamera(stayFitted ? fitted() : camera);
      }
      if (wanted) want(wanted.spread);
    },
    ahead(spreads) {
      pictures.ahead(spreads.map((spread) => imagesOf(spread, compare)));
    },
    keepThumbs: pictures.keepThumbs,
    layer: layers.add,
    camera: () => camera,
    moveTo: moveByHand,
    fit() {
      stayFitted = true;
      setCamera(fitted());
    },
    actualPixels: () => moveByHand({ ...camera, zoom: 1 / ratio }),
    toPaper,
    edgeToEdge(on) {
      edgeToEdge = on;
      if (stayFitted) setCamera(fitted());
    },
    isStacked: () => stacked(sizePx, paperPx),
    toStage: (paper) => cam.apply(cam.paperToStage(camera, mainFrame()), paper),
    fingersDraw: hands.fingersDraw,
    penTool: hands.penTool,
    setPaperSize(next) {
      paperPx = next;
      setCamera(stayFitted ? fitted() : camera);
    },
    stats: () => ({ ...pictures.stats(), budgetBytes }),
    destroy() {
      cancelAnimationFrame(frameRequest);
      clearTimeout(restTimer);
      sizeWatch.disconnect();
      stopColours();
      hands.destroy();
      pictures.stop();
      canvas.removeEventListener('webglcontextlost', onLost);
      canvas.removeEventListener('webglcontextrestored', onRestored);
      painter.destroy();
      root.remove();
    },
  };
  resize();
  return stage;
}
