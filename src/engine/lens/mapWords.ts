/**
 * What a distortion map's picture means, in both directions.
 *
 *   R = x / width      G = y / height
 *
 *   x, y  a place in pixels, from the picture's upper left edge, right and down; pixel centres at (column + ½, row + ½): where nothing
 *         is bent the pixel in the upper left corner holds (0.5 / width, 0.5 / height), and 0 and 1 are the picture's edges
 *
 *   to-straight  a picture of the plate's pixels: where each lies on the plate without distortion; bends what is laid over the plate
 *   to-plate     a picture of the pixels without distortion: where the plate shows each; straightens the plate
 *
 * Values below 0 and above 1 lie outside the picture.
 */
export const mapWayNames = ['to-straight', 'to-plate'] as const
export type MapWay = (typeof mapWayNames)[number]
