"""The databases these tests run on."""

from tests.store.databases import cluster, empty_url, newest_file, store, store_url

__all__ = ["cluster", "empty_url", "newest_file", "store", "store_url"]
