// Whether the reader wants less motion.

const LESS = matchMedia("(prefers-reduced-motion: reduce)");

export const still = () => LESS.matches;
