using System.Globalization;
using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Testing;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>What a sample rate converter reaches, in the figures of Reference/resampling.json and measured as its "method" says.</summary>
internal sealed record ConverterFigures(
    string Tool, double PassBandDeviationDb, IReadOnlyDictionary<int, double> EdgeGainDb, double WorstSpuriousDbc, double WorstTo20KDb, double WorstToHalfRateDb,
    double PulseErrorFrames, long LengthFrames)
{
    private const int Seconds = 3;
    private const double Floor = 1e-16;

    /// <summary>The rates compared.</summary>
    public static IEnumerable<(int FromHz, int ToHz)> Pairs(JsonDocument reference) =>
        Results(reference).Select(result => (result.GetProperty("from_hz").GetInt32(), result.GetProperty("to_hz").GetInt32())).Distinct();

    /// <summary>The figures of the other converters.</summary>
    public static IEnumerable<ConverterFigures> Others(JsonDocument reference, int fromHz, int toHz) =>
        Results(reference).Where(result => result.GetProperty("from_hz").GetInt32() == fromHz && result.GetProperty("to_hz").GetInt32() == toHz).Select(result =>
        {
            var isDown = result.TryGetProperty("alias_of_tone_above_new_nyquist_db_re_input", out var tones);
            if (!isDown)
                tones = result.GetProperty("image_of_tone_db_re_input");
            return new ConverterFigures(
                result.GetProperty("tool").GetString()!,
                result.GetProperty("passband_max_abs_deviation_20_to_20k_db").GetDouble(),
                result.GetProperty("edge_gain_db").EnumerateObject().ToDictionary(edge => int.Parse(edge.Name, CultureInfo.InvariantCulture), edge => edge.Value.GetDouble()),
                result.GetProperty("tone_997_worst_spurious_dbc").GetDouble(),
                isDown ? tones.EnumerateObject().Max(tone => tone.Value.GetProperty("worst_to_20k_db").GetDouble()) : double.NaN,
                tones.EnumerateObject().Max(tone => tone.Value.GetProperty(isDown ? "worst_to_nyquist_db" : "worst_other_bin_db").GetDouble()),
                result.GetProperty("pulse_centre_error_output_samples").GetDouble(),
                result.GetProperty("output_samples_for_3s_input").GetInt64());
        });

    /// <summary>Our own, with the tones that the reference was measured with.</summary>
    public static ConverterFigures Ours(JsonDocument reference, int fromHz, int toHz)
    {
        var asked = Results(reference).First(result => result.GetProperty("from_hz").GetInt32() == fromHz && result.GetProperty("to_hz").GetInt32() == toHz);
        var passTones = asked.GetProperty("passband_freq_hz").EnumerateArray().Select(tone => tone.GetInt32()).ToList();
        var spectrum = Of(Tones(passTones, 0.02));
        var deviation = passTones.Max(tone => Math.Abs(Spectrum.ToDb(spectrum[tone] / 0.02)));

        var edges = asked.GetProperty("edge_gain_db").EnumerateObject().Select(edge => int.Parse(edge.Name, CultureInfo.InvariantCulture))
            .ToDictionary(tone => tone, tone => Spectrum.ToDb(Of(Tones([tone], 0.5))[tone] / 0.5));

        var single = Of(Tones([997], 0.5));
        var spurious = Spectrum.ToDb(single.Where((_, bin) => bin > 0 && Math.Abs(bin - 997) > 2).Max() / single[997]);

        var isDown = toHz < fromHz;
        var (to20K, toHalf) = (double.NaN, double.NegativeInfinity);
        foreach (var tone in asked.GetProperty(isDown ? "alias_of_tone_above_new_nyquist_db_re_input" : "image_of_tone_db_re_input").EnumerateObject())
        {
            var hz = int.Parse(tone.Name, CultureInfo.InvariantCulture);
            var bins = Of(Tones([hz], 0.5));
            if (isDown)
                to20K = Math.Max(double.IsNaN(to20K) ? double.NegativeInfinity : to20K, ToDb(bins[1..20001].Max() / 0.5));
            toHalf = Math.Max(toHalf, ToDb(bins.Where((_, bin) => bin > 0 && (isDown ? bin < toHz / 2 : Math.Abs(bin - hz) > 2)).Max() / 0.5));
        }

        return new("ours", deviation, edges, spurious, to20K, toHalf, PulseError(), Converted(Signal.Allocate(1, Seconds * fromHz)).Format.LengthFrames);

        ConvertedStem Converted(Signal signal) => new(new MemoryStem(signal, fromHz), new(fromHz, toHz));

        double[] Of(Signal signal)
        {
            var second = Signal.Allocate(1, toHz);
            Converted(signal).Read(toHz, second);
            return [.. Spectrum.BinsOfAnyLength(second[0]).Select(bin => Math.Max(bin.Magnitude / toHz * 2, Floor))];
        }

        Signal Tones(IReadOnlyList<int> tones, double amplitude)
        {
            var signal = Signal.Allocate(1, Seconds * fromHz);
            foreach (var tone in tones)
            {
                for (var frame = 0; frame < signal.Frames; frame++)
                    signal[0][frame] += amplitude * Math.Sin(2 * Math.PI * (((double)((long)tone * frame % fromHz) / fromHz) + (tone * 0.618 % 1)));
            }

            return signal;
        }

        double PulseError()
        {
            const double Centre = 0.2003127;
            var signal = Signal.Allocate(1, fromHz);
            for (var frame = 0; frame < fromHz; frame++)
                signal[0][frame] = 0.5 * Math.Exp(-0.5 * Math.Pow((((double)frame / fromHz) - Centre) / 0.0005, 2));
            var result = Signal.Allocate(1, toHz);
            Converted(signal).Read(0, result);
            var (moment, sum) = (0.0, 0.0);
            for (var frame = (int)(Centre * toHz) - (toHz / 50); frame < (int)(Centre * toHz) + (toHz / 50); frame++)
            {
                moment += frame * result[0][frame];
                sum += result[0][frame];
            }

            return (moment / sum) - (Centre * toHz);
        }
    }

    /// <summary>A row of the table in DEVELOPERS.md.</summary>
    public string Row()
    {
        var edges = string.Join(" / ", EdgeGainDb.OrderBy(edge => edge.Key).Select(edge => Text(edge.Value, Math.Abs(edge.Value) < 1 ? "0.000;-0.000;0.000" : "0.0")));
        var worst = double.IsNaN(WorstTo20KDb) ? "" : Text(WorstTo20KDb, "0") + " / ";
        return $"| {Tool} | {Text(PassBandDeviationDb, PassBandDeviationDb < 1e-4 ? "0e-0" : "0.0000")} dB | {edges} dB | {Text(WorstSpuriousDbc, "0")} dB | {worst}{Text(WorstToHalfRateDb, "0")} dB | {Text(Math.Abs(PulseErrorFrames), "0e-0")} frame |";

        static string Text(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);
    }

    private static double ToDb(double amplitude) => Spectrum.ToDb(Math.Max(amplitude, Floor));

    private static JsonElement.ArrayEnumerator Results(JsonDocument reference) => reference.RootElement.GetProperty("results").EnumerateArray();
}
