#include "hash.h"

#include <openssl/crypto.h>
#include <openssl/evp.h>
#include <stdio.h>
#include <string.h>

#include "board/check.h"

void hash_bytes(const void *bytes, size_t len, uint8_t out[HASH_BYTES])
{
    CHECK(EVP_Digest(bytes, len, out, NULL, EVP_sha256(), NULL) == 1);
}

void hash_pair(const void *one, size_t one_len, const void *two, size_t two_len, uint8_t out[HASH_BYTES])
{
    EVP_MD_CTX *context = EVP_MD_CTX_new();
    CHECK(context != NULL);
    CHECK(EVP_DigestInit_ex(context, EVP_sha256(), NULL) == 1);
    CHECK(EVP_DigestUpdate(context, one, one_len) == 1);
    CHECK(EVP_DigestUpdate(context, two, two_len) == 1);
    CHECK(EVP_DigestFinal_ex(context, out, NULL) == 1);
    EVP_MD_CTX_free(context);
}

void hash_log_start(uint64_t log_id, uint8_t out[HASH_BYTES])
{
    char text[32];
    int len = snprintf(text, sizeof text, "sternboard%016llx", (unsigned long long)log_id);
    hash_bytes(text, (size_t)len, out);
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
