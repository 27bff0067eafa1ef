"""Tables, migrations, writing and reading."""
