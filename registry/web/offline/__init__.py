"""No signal: sites kept on the phone, entries made there and sent later, exactly once."""
