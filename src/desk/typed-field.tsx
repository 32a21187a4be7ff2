/** A field that is typed into. */
import type { InputHTMLAttributes, JSX } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

interface TypedFieldProps {
  readonly type: 'text' | 'number';
  readonly min?: number;
  readonly max?: number;
  readonly step?: number | 'any';
  readonly maxLength?: number;
  readonly placeholder?: string;
  readonly inputMode?: 'decimal';
  readonly autocomplete?: 'name';
  readonly 'aria-label'?: string;
  /** What holds. */
  readonly value: string | number;
  /** Takes what was typed, or leaves it: then the field goes back to what holds. */
  readonly typed: (field: HTMLInputElement) => void;
}

/** Shows what holds, except between a letter and its being taken: redrawn then, it keeps what is being typed. */
export function TypedField({ value, typed, ...rest }: TypedFieldProps): JSX.Element {
  const field = useRef<HTMLInputElement>(null);
  const typing = useRef(false);
  const [, redraw] = useState({});
  useLayoutEffect(() => {
    const shown = field.current;
    if (shown && !typing.current && shown.value !== String(value)) shown.value = String(value);
  });
  const settle = (): void => {
    typing.current = false;
    redraw({});
  };
  return (
    <input
      // One attribute of two kinds of input, which the type of an input wants one by one.
      {...(rest as InputHTMLAttributes)}
      ref={field}
      onInput={() => {
        typing.current = true;
      }}
      onChange={(event) => {
        typed(event.currentTarget);
        settle();
      }}
      onBlur={settle}
    />
  );
}
