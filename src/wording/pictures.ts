/** Which photos can be shown to people. Pure. */

/**
 * Whether a copy of such a picture can be made. Not of HEIC: the build of libvips that comes with sharp decodes
 * AVIF alone of that family, and of the browsers only one shows it.
 */
export const canBeShown = (type: string): boolean => !/^image\/hei[cf]/.test(type);
