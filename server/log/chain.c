#include "chain.h"

#include <inttypes.h>
#include <openssl/evp.h>
#include <stdio.h>

#include "board/check.h"

/* libcrypto fails here only when there is no memory, and then nothing else would work either. */
static void hash_two(const void *first, size_t first_len, const void *second, size_t second_len, uint8_t out[CHAIN_LEN])
{
    unsigned int len = 0;
    EVP_MD_CTX *digest = EVP_MD_CTX_new();
    CHECK(digest);
    CHECK(EVP_DigestInit_ex(digest, EVP_sha256(), NULL) == 1);
    CHECK(EVP_DigestUpdate(digest, first, first_len) == 1);
    CHECK(EVP_DigestUpdate(digest, second, second_len) == 1);
    CHECK(EVP_DigestFinal_ex(digest, out, &len) == 1 && len == CHAIN_LEN);
    EVP_MD_CTX_free(digest);
}

void chain_start(uint64_t chain_id, uint8_t out[CHAIN_LEN])
{
    char id[17];
    (void)snprintf(id, sizeof id, "%016" PRIx64, chain_id);
    hash_two("sternboard", 10, id, 16, out);
}

void chain_next(const uint8_t before[CHAIN_LEN], const char *text, size_t len, uint8_t out[CHAIN_LEN])
{
    hash_two(before, CHAIN_LEN, text, len, out);
}
