/** Press and hold: the same for finger, mouse and pen. */

/** Down this long without moving is a hold; shorter is a tap. */
export const HOLD_MS = 350;
/** Farther than this is a drag, CSS px: a resting fingertip rolls by several px. */
export const DRAG_THRESHOLD_PX = 8;
