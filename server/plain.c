#include "plain.h"

#include <stdbool.h>
#include <string.h>

size_t plain_unprintable(const char *text, size_t len)
{
    const unsigned char *at = (const unsigned char *)text;
    if (len == 0)
        return 0;
    if (at[0] < ' ' || at[0] == 0x7f)
        return 1;
    if (len >= 2 && at[0] == 0xc2 && at[1] >= 0x80 && at[1] <= 0x9f) /* U+0080 to U+009F */
        return 2;
    if (len < 3 || at[0] != 0xe2)
        return 0;
    bool embeds = at[1] == 0x80 && at[2] >= 0xaa && at[2] <= 0xae;   /* U+202A to U+202E */
    bool isolates = at[1] == 0x81 && at[2] >= 0xa6 && at[2] <= 0xa9; /* U+2066 to U+2069 */
    bool marks = at[1] == 0x80 && (at[2] == 0x8e || at[2] == 0x8f);  /* U+200E, U+200F */
    return embeds || isolates || marks ? 3 : 0;
}

void plain_line(char *text)
{
    char *to = text;
    for (size_t left = strlen(text); left > 0;) {
        size_t bad = plain_unprintable(text, left);
        *to++ = bad ? '?' : *text;
        text += bad ? bad : 1;
        left -= bad ? bad : 1;
    }
    *to = '\0';
}
