/** What poses the kite and its tail, as numbers that can be in-betweened. Lengths px on 1920 × 1080, angles in degrees. */
export interface KitePose {
  x: number;
  y: number;
  angle: number;
  /** Width seen as it banks: 1 flat to us. */
  bank: number;
  /** How far the wind pushes the sail's edges out, px. */
  billow: number;
  /** Directions of the side tassels, counted from the spar outward. */
  tasselLeft: number;
  tasselRight: number;
  /** 0 shut, 1 open. */
  eyes: number;
  smile: number;
}

export interface TailPose {
  /** Where it is tied on. */
  x: number;
  y: number;
  /** Directions at five places along it. */
  a: number;
  b: number;
  c: number;
  d: number;
  e: number;
  /** The ribbon's turn about itself at its root, and how much more at its tip. */
  twist: number;
  twistMore: number;
  /** How far its bows lag behind it. */
  bowLag: number;
}
