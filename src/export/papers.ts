/** PDF points: 210 × 297 mm (ISO 216) and 8½ × 11 in (ANSI A). */
export const papers = { A4: [595.28, 841.89], Letter: [612, 792] } as const;
