#!/bin/sh
# Sets up the office of several sites on a fresh Debian 12 or newer: sh assets/office.sh NAME SITE...
#
# NAME is what sites call this machine, as office.example; each SITE is let in, and gets a password. Run it as root.
# It may be run again, after an update too: what is there stays, but for the passwords of the sites that are named.
set -eu

name=${1:?"the name by which sites call this machine, as office.example"}
shift
cd "$(dirname "$0")/.."

echo "== PostgreSQL, and this program in /opt/cutmemo"
apt-get install -y -qq postgresql python3-venv openssl >/dev/null
/usr/bin/python3 -m venv /opt/cutmemo # the one that the package brought, which every user may run
/opt/cutmemo/bin/pip install -q '.[office,site]'
ln -sf /opt/cutmemo/bin/cutmemo /usr/local/bin/
cd /
service postgresql start

as_office() { runuser -u postgres -- "$@"; }

echo "== its database"
as_office cutmemo office prepare

echo "== sites come in over the network with TLS and a password only"
key=/etc/postgresql/office.key certificate=/etc/postgresql/office.crt
if [ ! -e $key ]; then
    openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 3650 \
        -subj "/CN=$name" -addext "subjectAltName=DNS:$name" -keyout $key -out $certificate
fi
chown postgres $key && chmod 600 $key && chmod 644 $certificate
as_office psql -q -c "ALTER SYSTEM SET listen_addresses = '*'" \
    -c "ALTER SYSTEM SET ssl = on" -c "ALTER SYSTEM SET ssl_cert_file = '$certificate'" \
    -c "ALTER SYSTEM SET ssl_key_file = '$key'"
rules=$(as_office psql -Atc 'SHOW hba_file')
rule='hostssl cutmemo +cutmemo_sites,+cutmemo_orderers all scram-sha-256'
grep -qxF "$rule" "$rules" || echo "$rule" >>"$rules"
service postgresql restart

echo "== the tally, beside the database"
cat >/etc/systemd/system/cutmemo-tally.service <<'END'
[Unit]
Description=cutmemo: tally of all sites
After=postgresql.service

[Service]
User=postgres
ExecStart=/usr/local/bin/cutmemo office tally
Restart=always
RestartSec=5

[Install]
WantedBy=multi-user.target
END
if [ -d /run/systemd/system ]; then
    systemctl daemon-reload
    systemctl enable cutmemo-tally
    systemctl restart cutmemo-tally
else
    echo "systemd does not run here: keep “runuser -u postgres -- cutmemo office tally” running yourself"
fi

echo "== the office is set up at $name. Sites need $certificate, which is no secret."
for site in "$@"; do as_office cutmemo office site "$site"; done
