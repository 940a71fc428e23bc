import { useLayoutEffect, useRef, useState } from 'preact/hooks';

/** Width of the element that `ref` is put on, so that drawings are drawn at their own size and never shrunk. */
export function useWidth(first: number) {
  const ref = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(first);
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const measure = () => setWidth(Math.round(element.clientWidth) || first);
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, [first]);
  return { ref, width };
}
