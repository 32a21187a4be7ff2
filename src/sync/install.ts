/** Installation to the home screen: what this tablet offers, and whether it is done. */
import { type ReadonlySignal, signal } from '@preact/signals';

/**
 * `by hand`: an iPad or iPhone, where only the share menu installs. `not offered`: the browser has not
 * offered it (yet), or cannot.
 */
export type InstallState = 'installed' | 'offered' | 'by hand' | 'not offered';

/** Chrome's own event; in no standard yet. */
interface InstallOffer extends Event {
  prompt(): Promise<{ outcome: 'accepted' | 'dismissed' }>;
}

const standalone = matchMedia('(display-mode: standalone)');
const isStandalone = (): boolean =>
  standalone.matches || (navigator as Navigator & { standalone?: boolean }).standalone === true;

/** iPadOS calls itself a Macintosh; a Macintosh has no touch screen. */
const isAppleTablet = (): boolean =>
  /iPad|iPhone/.test(navigator.userAgent) ||
  (/Macintosh/.test(navigator.userAgent) && navigator.maxTouchPoints > 1);

const state = signal<InstallState>(
  isStandalone() ? 'installed' : isAppleTablet() ? 'by hand' : 'not offered',
);
export const installState: ReadonlySignal<InstallState> = state;

let offer: InstallOffer | undefined;
addEventListener('beforeinstallprompt', (event) => {
  event.preventDefault();
  offer = event as InstallOffer;
  if (state.value !== 'installed') state.value = 'offered';
});
addEventListener('appinstalled', () => {
  offer = undefined;
  state.value = 'installed';
});
standalone.addEventListener('change', () => {
  if (standalone.matches) state.value = 'installed';
});

/** Shows the browser's question; true when the answer was yes. An offer can be used once. */
export async function install(): Promise<boolean> {
  const asked = offer;
  if (asked === undefined) return false;
  offer = undefined;
  const { outcome } = await asked.prompt();
  state.value = outcome === 'accepted' ? 'installed' : 'not offered';
  return outcome === 'accepted';
}
