FROM python:3.12-slim AS packages
WORKDIR /build
COPY requirements.txt .
RUN sed '/^# Tests and tools/,$d' requirements.txt > server.txt \
 && python -m venv /opt/packages \
 && /opt/packages/bin/pip install --no-cache-dir --no-input --disable-pip-version-check --requirement server.txt

FROM python:3.12-slim
# What the PDF engine draws with.
RUN apt-get update \
 && apt-get install --yes --no-install-recommends \
    fontconfig fonts-dejavu-core libharfbuzz-subset0 libpango-1.0-0 libpangoft2-1.0-0 \
 && rm -rf /var/lib/apt/lists/*
RUN useradd --system --uid 10001 --no-create-home --home-dir /app --shell /usr/sbin/nologin ladlework

WORKDIR /app
COPY --from=packages /opt/packages /opt/packages
COPY . .
ENV PATH=/opt/packages/bin:$PATH \
    PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    STATIC_ROOT=/app/static \
    VAR_DIR=/app/var \
    XDG_CACHE_HOME=/tmp

# The names of static files carry a digest of their content. The key serves this one command and is thrown away.
RUN SECRET_KEY="$(python -c 'import secrets; print(secrets.token_urlsafe(50))')" \
    DATABASE_URL=sqlite://:memory: \
    python manage.py collectstatic --no-input --verbosity 0 \
 && mkdir -p "$VAR_DIR" \
 && chown -R ladlework: "$VAR_DIR"

USER 10001
EXPOSE 8000
HEALTHCHECK --interval=30s --timeout=10s --start-period=30s --retries=3 CMD ["python", ".ci/healthy.py"]
CMD ["gunicorn", "coaching.wsgi", "--bind", "0.0.0.0:8000", "--workers", "2", "--threads", "4", \
     "--worker-tmp-dir", "/dev/shm", "--no-control-socket", "--max-requests", "2000", "--max-requests-jitter", "200"]
