"""The provider's own library signs forms, and another XML reader reads our answers. Cases come as JSON on standard input."""
import json
import sys
from xml.etree import ElementTree

from twilio.request_validator import RequestValidator

class Form(dict):
    """A form in which a name may come more than once, as web frameworks have it."""

    def getlist(self, name):
        return self[name]


cases = json.load(sys.stdin)
for case in cases["signed"]:
    form = Form()
    for name, value in case["form"]:
        form.setdefault(name, []).append(value)
    validator = RequestValidator(case["token"])
    wanted = validator.compute_signature(case["url"], form)
    assert wanted == case["signature"], (case, wanted)
    assert validator.validate(case["url"], form, case["signature"]), case
    other = ("B" if case["signature"][0] == "A" else "A") + case["signature"][1:]
    assert not validator.validate(case["url"], form, other), case
for case in cases["answered"]:
    root = ElementTree.fromstring(case["xml"].encode())
    assert root.tag == "Response" and [message.text for message in root] == case["messages"], case
print(len(cases["signed"]), len(cases["answered"]))
