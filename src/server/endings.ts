/** What files are taken for by their names' endings; the page asks the same before it sends one. */

export const MOVIES = /\.(mov|mp4|m4v|mxf|mkv|avi|webm)$/i
export const STILLS = /\.(png|tiff?|exr|dpx|jpe?g)$/i
