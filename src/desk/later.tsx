/** A part of the screen whose code is fetched when it is first shown. */
import { useSignal } from '@preact/signals';
import type { ComponentType, JSX } from 'preact';
import { useEffect } from 'preact/hooks';

interface LaterProps<P> {
  /** Asked once. */
  readonly load: () => Promise<ComponentType<P>>;
  readonly of: P;
  readonly waiting?: JSX.Element;
}

export function Later<P extends object>({ load, of, waiting }: LaterProps<P>): JSX.Element | null {
  const Part = useSignal<ComponentType<P> | undefined>(undefined);
  const trouble = useSignal(false);
  useEffect(() => {
    load().then(
      (part) => {
        Part.value = part;
      },
      () => {
        trouble.value = true;
      },
    );
  }, [Part, trouble]);
  if (trouble.value)
    return <p role="alert">This part could not be loaded. Everything is safe; open the app again.</p>;
  return Part.value ? <Part.value {...of} /> : (waiting ?? null);
}
