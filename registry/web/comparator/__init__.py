"""Comparing levels with a phone's microphone: pages whose arithmetic runs in the browser."""
