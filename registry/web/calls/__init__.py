"""Service calls: taken on the phone, looked up before driving, narrowed down, restored, proved and closed."""
