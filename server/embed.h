/* The pages, carried inside the program: a page load never touches the disk, and the program alone is the whole installation.
 *
 * The table is made by embed.mjs from the folder that the web build leaves. Each file is there twice, compressed and plain;
 * the few clients that take no compression cost some space on the disk and no code.
 */
#ifndef STERNBOARD_EMBED_H
#define STERNBOARD_EMBED_H

#include <stdbool.h>
#include <stddef.h>

struct embed_file {
    const char *path; /* "/index.html", "/a/app-1f2e3d4c.js" */
    const char *type; /* the content type */
    const char *hash; /* 16 hex digits of the SHA-256 over the plain bytes */
    bool fixed;       /* the name holds a hash of the content: it never changes under this name */
    const unsigned char *gzip, *plain;
    size_t gzip_len, plain_len;
};

/* The file of this path; NULL when there is none. */
const struct embed_file *embed_find(const char *path);

#endif
