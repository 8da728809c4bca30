using System.Globalization;
using System.Text.Json;
using RenderGraph.Nodes.Measures.Pitch;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Pitch;

public sealed class NoteTrackerTests
{
    private const double LowRateHz = 1500;

    [Fact]
    public void EveryNoteOfTemperamentFromG0ToD4IsHeardWithinTenCents()
    {
        // Frequencies: equal temperament, A4 = 440 Hz (ISO 16), from tests/Reference/analysis.json.
        foreach (var (midi, frequencyHz) in AnalysisReference.NotesHz.Where(note => note.Key is >= 19 and <= 62 && note.Value >= 26))
        {
            var notes = Track(Tone(frequencyHz, 1, 0.3));
            Assert.True(notes.Count == 1, $"{frequencyHz} Hz: {string.Join(", ", notes)}");
            var note = notes[0];
            Assert.Equal(midi, note.Midi);
            Assert.Equal(0, 1200 * Math.Log2(note.FrequencyHz / frequencyHz), 10.0);
        }
    }

    [Fact]
    public void ALineOfNotesIsListedWithCountsAndLevels()
    {
        // E1 four times, softer; A1 twice. A sine of 0.1 is at -23.0 dBFS, one of 0.2 at -17.0.
        var samples = new List<double>();
        foreach (var (frequencyHz, amplitude) in (List<(double, double)>)[(41.2, 0.1), (55, 0.2), (41.2, 0.1), (41.2, 0.1), (55, 0.2), (41.2, 0.1)])
        {
            samples.AddRange(Tone(frequencyHz, 0.4, amplitude, harmonics: 1));
            samples.AddRange(new double[150]);
        }

        var notes = Track([.. samples]);
        Assert.Equal([28, 33], notes.Select(note => note.Midi));
        Assert.Equal([4, 2], notes.Select(note => note.Count));
        Assert.Equal(-23.0, notes[0].LevelDbfs, 0.3);
        Assert.Equal(-17.0, notes[1].LevelDbfs, 0.3);
    }

    [Fact]
    public void AChordHasNoFundamentalThatNobodyPlays()
    {
        // 100, 125 and 150 Hz repeat 25 times a second.
        var chord = Signals.Fill(1, 3000, (_, frame) => ((double[])[100, 125, 150]).Sum(hz => 0.1 * Math.Sin(2 * Math.PI * hz * frame / LowRateHz)));
        Assert.DoesNotContain(Track(chord[0].ToArray()), note => note.FrequencyHz < 90);
    }

    [Fact]
    public void NoiseAndSilenceHaveNoNotes()
    {
        Assert.Empty(Track(Signals.Noise(6000)[0].ToArray()));
        Assert.Empty(Track(new double[6000]));
        Assert.Empty(Track([]));
    }

    [Fact]
    public void AHeldNoteFillsItsTimeAndAShortStrokeDoesNot()
    {
        var tracker = new NoteTracker(LowRateHz);
        tracker.Add(Tone(50, 4, 0.3));
        tracker.Finish();
        Assert.True(tracker.FilledFraction > 0.9);

        tracker = new NoteTracker(LowRateHz);
        for (var beat = 0; beat < 8; beat++)
            tracker.Add([.. Tone(50, 0.5, 0.3).Select((sample, frame) => sample * Math.Exp(-frame / (0.1 * LowRateHz)))]);
        tracker.Finish();
        Assert.True(tracker.FilledFraction < 0.2, $"{tracker.FilledFraction}");
    }

    [Fact]
    public void TheReferenceBassesAreHeardNoteByNote()
    {
        using var file = JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", "analysis.json")));
        foreach (var bass in file.RootElement.GetProperty("basses").EnumerateArray())
        {
            var known = bass.GetProperty("notes").EnumerateArray().Where(note => Seconds(note) >= 0.2).Select(Midi).Distinct().Order().ToList();
            var all = bass.GetProperty("notes").EnumerateArray().Select(Midi).ToHashSet();
            var heard = Track(Synthesise(bass)).Select(note => note.Midi).ToList();
            Assert.All(known, midi => Assert.Contains(midi, heard));
            Assert.All(heard, midi => Assert.Contains(midi, all));
        }

        static int Midi(JsonElement note) => note.GetProperty("midi").GetInt32();
        static double Seconds(JsonElement note) => note.GetProperty("length_samples").GetInt32() / 44100.0;
    }

    // The recipe of tests/Reference/analysis.json, straight at the low rate: none of its partials below 400 Hz is changed by that.
    private static double[] Synthesise(JsonElement bass)
    {
        var samples = new double[(int)(30 * LowRateHz)];
        var (amplitude, harmonics, rolloff) = (bass.GetProperty("amp").GetDouble(), bass.GetProperty("harmonics").GetInt32(), bass.GetProperty("rolloff").GetDouble());
        foreach (var note in bass.GetProperty("notes").EnumerateArray())
        {
            var start = note.GetProperty("start_s").GetDouble();
            var length = note.GetProperty("length_samples").GetInt32() / 44100.0;
            var frequencyHz = 440 * Math.Pow(2, (note.GetProperty("midi").GetInt32() - 69) / 12.0);
            for (var frame = (int)(start * LowRateHz); frame < Math.Min(samples.Length, (start + length) * LowRateHz); frame++)
            {
                var t = (frame / LowRateHz) - start;
                for (var k = 1; k <= harmonics && k * frequencyHz < 400; k++)
                    samples[frame] += amplitude * Math.Clamp(Math.Min(t / 0.005, (length - t) / 0.01), 0, 1) * Math.Sin(2 * Math.PI * k * frequencyHz * t) / Math.Pow(k, rolloff);
            }
        }

        return samples;
    }

    private static double[] Tone(double frequencyHz, double seconds, double amplitude, int harmonics = 2) => Signals.Fill(1, (int)(seconds * LowRateHz), (_, frame) =>
        Enumerable.Range(1, harmonics).Sum(k => k * frequencyHz < 400 ? amplitude * Math.Sin(2 * Math.PI * k * frequencyHz * frame / LowRateHz) / (k * k) : 0))[0].ToArray();

    private static IReadOnlyList<PlayedNote> Track(double[] samples)
    {
        var tracker = new NoteTracker(LowRateHz);
        tracker.Add(samples);
        return tracker.Finish();
    }
}
