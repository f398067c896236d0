/* OpenSSL's functions of before 3.0. The newer ones look the algorithm up by its name each time: after a quiet moment, as a tap always
 * comes, a row took them 35 us and these 5, and there is nothing here to be chosen when the program runs. */
#define OPENSSL_API_COMPAT 0x10101000L

#include "hash.h"

#include <openssl/crypto.h>
#include <openssl/sha.h>
#include <string.h>

#include "board/check.h"

void hash_bytes(const void *bytes, size_t len, uint8_t out[HASH_BYTES])
{
    hash_pair(bytes, len, "", 0, out);
}

void hash_pair(const void *one, size_t one_len, const void *two, size_t two_len, uint8_t out[HASH_BYTES])
{
    SHA256_CTX context;
    CHECK(SHA256_Init(&context) == 1);
    CHECK(SHA256_Update(&context, one, one_len) == 1);
    CHECK(SHA256_Update(&context, two, two_len) == 1);
    CHECK(SHA256_Final(out, &context) == 1);
}

void hash_hex(const uint8_t *bytes, size_t count, char *out)
{
    static const char digit[] = "0123456789abcdef";
    for (size_t i = 0; i < count; i++) {
        out[2 * i] = digit[bytes[i] >> 4];
        out[2 * i + 1] = digit[bytes[i] & 15];
    }
    out[2 * count] = '\0';
}

/* The hashes are compared, not the texts: their lengths are the same, and their bytes tell nothing. */
bool hash_same_text(const char *one, const char *two)
{
    uint8_t one_hash[HASH_BYTES], two_hash[HASH_BYTES];
    hash_bytes(one, strlen(one), one_hash);
    hash_bytes(two, strlen(two), two_hash);
    return CRYPTO_memcmp(one_hash, two_hash, HASH_BYTES) == 0;
}
