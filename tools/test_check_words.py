"""The check of words proves itself. Hosts are put together here so that this file names none."""

import unittest

from check_words import faults


class Words(unittest.TestCase):
    def test_hosts_are_refused(self):
        web = "http" + "s://"
        for line in (
            f'"{web}some.' + 'host/x"',
            f"see {web}www.w3." + "org/about",
            "name = crates." + "io",
            "registry.npmjs." + "org/three",
            "git" + "://user@some." + "host/repo",
        ):
            self.assertNotEqual(list(faults(line)), [], line)

    def test_loopback_examples_namespaces_and_made_hosts_pass(self):
        for line in (
            "listening on http://127.0.0.1:8080",
            "http://localhost:3000/x",
            "http://[::1]:8080",
            'format!("http://{address}/")',
            "`http://${host}:${port}`",
            "Origin: https://elsewhere.example",
            'xmlns="http://www.w3.org/2000/svg"',
        ):
            self.assertEqual(list(faults(line)), [], line)


if __name__ == "__main__":
    unittest.main()
