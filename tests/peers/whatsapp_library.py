"""pywa checks our signatures and reads our recorded batches, and shakes hands as we do. A case is JSON on standard input."""
import json
import sys

from pywa import WhatsApp
from pywa.utils import webhook_updates_validator

case = json.load(sys.stdin)
for batch in case["batches"]:
    body, header = batch["body"].encode(), "sha256=" + batch["signature"]
    assert webhook_updates_validator(case["app_secret"], body, header), "our signature"
    assert not webhook_updates_validator(case["app_secret"], body + b" ", header), "a space more"
    client = WhatsApp(
        phone_id=case["phone_id"], token="t", server=None, verify_token="vt", app_secret=case["app_secret"], filter_updates=False
    )
    answer = client.webhook_update_handler(update=body, hmac_header=header)
    assert answer[1] == 200, answer
    assert client.webhook_challenge_handler(vt="vt", ch="1158201444")[1] == 200
    assert client.webhook_challenge_handler(vt="no", ch="1158201444")[1] == 403
print(len(case["batches"]))
