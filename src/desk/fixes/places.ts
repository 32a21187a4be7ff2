/**
 * The pictures of a long list: those near the view are painted, one after the other, and one that is far from it again
 * gives its pixels back (those of 500 rows would take more than a tablet can spare).
 */

/** How far beyond the view counts as near. */
const near = '600px';

/** `wanted` turns false when the place has left the view meanwhile. */
type Paint = (wanted: () => boolean) => Promise<void>;

export interface Places {
  /** Keeps `canvas` painted while it is near the view. Returns what ends that. */
  watch(canvas: HTMLCanvasElement, paint: Paint): () => void;
  readonly close: () => void;
}

interface Place {
  readonly canvas: HTMLCanvasElement;
  readonly paint: Paint;
  near: boolean;
  /** Painted, or tried: what failed is tried again when it comes near the next time. */
  done: boolean;
}

export function places(): Places {
  const watched = new Map<Element, Place>();
  let observer: IntersectionObserver | undefined;
  let busy = false;

  const letGo = (place: Place): void => {
    place.done = false;
    place.canvas.width = 0;
    delete place.canvas.dataset['painted'];
  };
  const next = (): Place | undefined => {
    for (const place of watched.values()) if (place.near && !place.done) return place;
    return undefined;
  };
  async function paintNear(): Promise<void> {
    if (busy) return;
    busy = true;
    for (let place = next(); place; place = next()) {
      const here = place;
      here.done = true;
      await here.paint(() => here.near).catch(() => undefined);
      if (!here.near) letGo(here);
    }
    busy = false;
  }
  const seen = (entries: readonly IntersectionObserverEntry[]): void => {
    for (const { target, isIntersecting } of entries) {
      const place = watched.get(target);
      if (!place) continue;
      place.near = isIntersecting;
      if (!isIntersecting && place.done) letGo(place);
    }
    void paintNear();
  };

  return {
    watch(canvas, paint) {
      // The row is laid out even where what is in it is not.
      const row = canvas.closest('li') ?? canvas;
      observer ??= new IntersectionObserver(seen, { root: canvas.closest('dialog'), rootMargin: near });
      const place: Place = { canvas, paint, near: false, done: false };
      watched.set(row, place);
      observer.observe(row);
      return () => {
        place.near = false;
        if (watched.get(row) !== place) return;
        watched.delete(row);
        observer?.unobserve(row);
      };
    },
    close() {
      observer?.disconnect();
      watched.clear();
    },
  };
}
