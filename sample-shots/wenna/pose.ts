/** Everything that poses Wenna, as numbers that can be in-betweened. */
/**
 * Lengths in px on the 2048 × 1152 sheet, angles in degrees; left and right are the picture's. Arm angles:
 * 0 hangs down, 90 points outward, 180 up; forearm and hand are counted on from the part before.
 */
export interface Pose {
  /** Middle of the coat's hem. */
  hemX: number;
  hemY: number;
  /** From the hem up to the neck; the coat widens as it shortens. */
  coatLength: number;
  lean: number;
  /** How far the back bows to the right, px. */
  bow: number;
  /** How far the hem lags to the right, and flares, px. */
  hemSwing: number;
  hemFlare: number;
  /** The body's turn: -1 left, 1 right. */
  turn: number;

  headUp: number;
  tilt: number;
  yaw: number;
  pitch: number;
  /** Above 0 stretched, below 0 squashed; area is kept. */
  stretch: number;

  shoulderLeft: number;
  armLeft: number;
  foreLeft: number;
  wristLeft: number;
  openLeft: number;
  shoulderRight: number;
  armRight: number;
  foreRight: number;
  wristRight: number;
  openRight: number;

  footLeft: number;
  footRight: number;
  /** Turn of the boot about its toe: above 0 the heel is off the ground. */
  heelLeft: number;
  heelRight: number;

  /** 0 shut, 1 open, up to 1.2 wide. */
  eyes: number;
  squint: number;
  gazeX: number;
  gazeY: number;
  browUp: number;
  /** Above 0 worried (inner ends up). */
  browTilt: number;
  mouthOpen: number;
  mouthWide: number;
  smile: number;

  /** The cap's crown and its bobble lean to the right, degrees. */
  capLean: number;
  bobble: number;
  /** The hair's ends swing to the right and up, px. */
  hairX: number;
  hairUp: number;
  /** Directions of the scarf's tail at root, middle and tip: 90 hangs, 180 flies left. */
  scarfRoot: number;
  scarfMid: number;
  scarfTip: number;
}
