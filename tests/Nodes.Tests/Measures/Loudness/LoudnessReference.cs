using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;

namespace RenderGraph.Nodes.Tests.Measures.Loudness;

/// <summary>
/// tests/Reference/loudness.json: the signals of EBU Tech 3341 and 3342 as recipes with what a meter must read, and further signals with what libebur128 1.2.6 read. Signals
/// are made here from the recipes.
/// </summary>
public static class LoudnessReference
{
    private static readonly JsonElement Root =
        JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", "loudness.json"))).RootElement;

    /// <summary>The K-weighting as the standard prints it for 48 kHz, by scipy.signal.sosfreqz.</summary>
    public static IEnumerable<(double FrequencyHz, double GainDb)> KWeighting =>
        Numbers(Root.GetProperty("k_weighting_48k"), "freq_hz").Zip(Numbers(Root.GetProperty("k_weighting_48k"), "magnitude_db"));

    /// <summary>The names of all cases.</summary>
    public static IEnumerable<string> Cases => Root.GetProperty("cases").EnumerateArray().Select(entry => entry.GetProperty("case").GetString()!);

    /// <summary>The names of all further signals.</summary>
    public static IEnumerable<string> Extras => Root.GetProperty("extra_signals").EnumerateArray().Select(entry => entry.GetProperty("id").GetString()!);

    /// <summary>A case's signal and what is expected of it: name in the file, value, and how much less and more is allowed.</summary>
    public static (Signal Signal, int SampleRateHz, IReadOnlyList<(string Name, double Value, double Minus, double Plus)> Expected) Case(string name)
    {
        var entry = Root.GetProperty("cases").EnumerateArray().Single(candidate => candidate.GetProperty("case").GetString() == name);
        var rate = entry.GetProperty("fs_hz").GetInt32();
        return (
            Make(name, entry.GetProperty("recipe"), entry.GetProperty("channels").GetInt32(), rate), rate,
            [
                .. entry.GetProperty("expected").EnumerateObject().Select(expected => (
                    expected.Name, expected.Value.GetProperty("value").GetDouble(),
                    expected.Value.GetProperty("minus").GetDouble(), expected.Value.GetProperty("plus").GetDouble())),
            ]);
    }

    /// <summary>A further signal, and what libebur128, asked every 10 ms, read.</summary>
    public static (Signal Signal, int SampleRateHz, JsonElement Measured) Extra(string id)
    {
        var entry = Root.GetProperty("extra_signals").EnumerateArray().Single(candidate => candidate.GetProperty("id").GetString() == id);
        var (rate, channels) = (entry.GetProperty("fs").GetInt32(), entry.GetProperty("channels").GetInt32());
        var levels = Levels(entry.GetProperty("segments"), 1, rate);
        var isLeftOnly = entry.TryGetProperty("left_only", out var left) && left.GetBoolean();
        var signal = entry.GetProperty("kind").GetString() == "lcg"
            ? Noise([.. entry.GetProperty("seed").EnumerateArray().Select(seed => seed.GetUInt32())], levels)
            : Signals.Fill(channels, levels.Length, (channel, frame) =>
                isLeftOnly && channel > 0 ? 0 : levels[frame] * Math.Sin(2 * Math.PI * entry.GetProperty("freq").GetDouble() * frame / rate));
        return (signal, rate, entry.GetProperty("measured").GetProperty("libebur128_hop_10ms"));
    }

    private static Signal Make(string name, JsonElement recipe, int channels, int rate)
    {
        if (recipe.TryGetProperty("periods_before_and_after", out var periods))
            return OnePeriodAtTwice(rate, periods.GetInt32(), offset: int.Parse(name[^1..]) % 4);
        if (recipe.TryGetProperty("freq_over_fs", out var fraction))
            return FadedSine(rate, int.Parse(fraction.GetString()!.Split('/')[1]), recipe.GetProperty("amplitude").GetDouble(), recipe.GetProperty("phase_deg").GetDouble());

        var sine = (int frame) => Math.Sin(2 * Math.PI * recipe.GetProperty("freq_hz").GetDouble() * frame / rate);
        if (recipe.TryGetProperty("levels_dbfs_peak", out var each))
        {
            double[] gains = [.. each.EnumerateArray().Select(level => Amplitude(level.GetDouble()))];
            var tone = Enumerable.Range(0, recipe.GetProperty("seconds").GetInt32() * rate).Select(sine).ToArray();
            return Signals.Fill(channels, tone.Length, (channel, frame) => gains[channel] * tone[frame]);
        }

        var levels = Levels(recipe.GetProperty("segments_seconds_dbfs_peak"), recipe.TryGetProperty("repeat", out var times) ? times.GetInt32() : 1, rate);
        var samples = Enumerable.Range(0, levels.Length).Select(frame => levels[frame] * sine(frame)).ToArray();
        return Signals.Fill(channels, samples.Length, (_, frame) => samples[frame]);
    }

    private static Signal FadedSine(int rate, int divisor, double amplitude, double phaseDegrees)
    {
        var fade = (int)(0.1 * rate);
        return Signals.Fill(2, rate, (_, frame) =>
        {
            var edge = Math.Min(frame, rate - 1 - frame);
            var window = edge < fade ? 0.5 - (0.5 * Math.Cos(Math.PI * edge / fade)) : 1;
            return amplitude * window * Math.Sin((2 * Math.PI * (frame % divisor) / divisor) + (phaseDegrees * Math.PI / 180));
        });
    }

    private static Signal OnePeriodAtTwice(int rate, int around, int offset)
    {
        const int Period = 24, Taps = 511;
        var raised = Enumerable.Range(0, Period * ((2 * around) + 1))
            .Select(index => (index / Period == around ? 1 : 0.5) * Math.Sin(2 * Math.PI * index / Period)).ToArray();

        // A windowed sinc with Kaiser's window, beta 10, cut at 0.45 times the rate, unity at 0 Hz.
        var taps = Enumerable.Range(0, Taps).Select(tap =>
        {
            var place = tap - ((Taps - 1) / 2);
            var sinc = place == 0 ? 1 : Math.Sin(Math.PI * place * 0.225) / (Math.PI * place * 0.225);
            return sinc * Bessel(10 * Math.Sqrt(1 - Math.Pow(2.0 * place / (Taps - 1), 2)));
        }).ToArray();
        var sum = taps.Sum();
        var samples = Enumerable.Range(0, ((raised.Length - offset) + 3) / 4).Select(frame =>
        {
            var (at, result) = ((4 * frame) + offset + ((Taps - 1) / 2), 0.0);
            for (var tap = 0; tap < Taps; tap++)
                result += at - tap >= 0 && at - tap < raised.Length ? taps[tap] * raised[at - tap] : 0;
            return result / sum;
        }).ToArray();
        return Signals.Fill(2, samples.Length, (_, frame) => samples[frame]);
    }

    private static double Bessel(double x)
    {
        var (sum, term) = (1.0, 1.0);
        for (var k = 1; term > 1e-17 * sum; k++)
        {
            term *= x * x / (4.0 * k * k);
            sum += term;
        }

        return sum;
    }

    private static Signal Noise(uint[] seeds, double[] levels)
    {
        var planes = seeds.Select(seed => levels.Select(level =>
        {
            seed = unchecked((1664525 * seed) + 1013904223);
            return level * ((seed / 2147483648.0) - 1);
        }).ToArray()).ToArray();
        return Signals.Fill(seeds.Length, levels.Length, (channel, frame) => planes[channel][frame]);
    }

    private static double[] Levels(JsonElement segments, int times, int rate) =>
    [
        .. Enumerable.Range(0, times).SelectMany(_ => segments.EnumerateArray()).SelectMany(segment => Enumerable.Repeat(
            segment[1].ValueKind == JsonValueKind.Null ? 0 : Amplitude(segment[1].GetDouble()),
            (int)Math.Round(segment[0].GetDouble() * rate))),
    ];

    private static double Amplitude(double db) => Math.Pow(10, db / 20);

    private static double[] Numbers(JsonElement entry, string name) => [.. entry.GetProperty(name).EnumerateArray().Select(number => number.GetDouble())];
}
