/** What the tests use of upng-js, which ships no types. */
declare module 'upng-js' {
  interface Image {
    readonly width: number;
    readonly height: number;
    readonly tabs: { readonly acTL?: { readonly num_frames: number; readonly num_plays: number } };
    readonly frames: readonly {
      readonly rect: {
        readonly x: number;
        readonly y: number;
        readonly width: number;
        readonly height: number;
      };
      /** Milliseconds, rounded. */
      readonly delay: number;
      readonly dispose: number;
      readonly blend: number;
    }[];
  }
  const upng: {
    decode(file: ArrayBuffer): Image;
    /** Every frame whole, as it is seen. */
    toRGBA8(image: Image): ArrayBuffer[];
  };
  export default upng;
}
