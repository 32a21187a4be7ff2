/** The part of `smpte-timecode` (no types of its own) that reference tests use. */
declare module 'smpte-timecode' {
  export default function Timecode(frames: number, fps: number, dropFrame: boolean): { toString(): string };
}
