/**
 * The due date. Browsers tell of a typed date at every digit from which one can be read (a year of 2 on the way to 2026),
 * so what is typed counts when the hand leaves the field or presses Enter; what is picked counts at once.
 */
import type { JSX } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';

interface DueFieldProps {
  /** ISO date; null for none. */
  readonly due: string | null;
  readonly set: (due: string | null) => void;
}

export function DueField(props: DueFieldProps): JSX.Element {
  const field = useRef<HTMLInputElement>(null);
  const typing = useRef(false);
  const latest = useRef(props);
  latest.current = props;
  const show = (): void => {
    const value = latest.current.due ?? '';
    if (field.current && !typing.current && field.current.value !== value) field.current.value = value;
  };
  const take = (): void => {
    typing.current = false;
    const { due, set } = latest.current;
    const { value, validity } = field.current ?? {};
    // What is half typed, or of no time in which anyone draws, goes back to what holds.
    if (validity?.valid && (value || null) !== due) set(value || null);
    show();
  };
  useLayoutEffect(show);
  // A panel that is closed from the keyboard sends no blur.
  useLayoutEffect(
    () => () => {
      if (typing.current) take();
    },
    [],
  );
  return (
    <input
      ref={field}
      type="date"
      min="2000-01-01"
      max="2999-12-31"
      onKeyDown={({ key }) => {
        if (key === 'Enter') take();
        else if (key !== 'Tab' && key !== 'Shift') typing.current = true;
      }}
      onChange={() => {
        if (!typing.current) take();
      }}
      onBlur={take}
    />
  );
}
