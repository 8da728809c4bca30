using System.Globalization;
using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>
/// Hits as a text file that people edit: comma-separated values in UTF-8. The first line is <c>seconds,strength</c>, or <c>seconds</c> alone; then one hit a line, in the order of the song.
/// A strength left out is 1. Empty lines, and lines that begin with #, are skipped.
/// </summary>
public static class HitsFile
{
    private const string Seconds = "seconds", Strength = "strength", Header = Seconds + "," + Strength;
    private const double MaxSeconds = 360_000;
    private const int MostFaults = 20;

    /// <summary>Reads a file's hits.</summary>
    /// <param name="name">The file as messages call it.</param>
    /// <param name="path">Full path.</param>
    /// <param name="sampleRateHz">Of the frames that the hits are given in.</param>
    /// <param name="askedAt">Where it was asked for: what is said of a file that cannot be had points there.</param>
    /// <returns>Null if anything is wrong; all faults are noted.</returns>
    public static IReadOnlyList<Hit>? Read(string name, string path, int sampleRateHz, (string File, TextPosition At) askedAt, DiagnosticList diagnostics)
    {
        byte[] bytes;
        try
        {
            if (new FileInfo(path) is { Exists: true, Length: > JsonTreeReader.LengthLimitBytes })
                return Refuse(DiagnosticCode.TooLarge, "is longer than 8 MiB, far more than a song's hits need", "Name the text file with the hits; audio is a stem");
            bytes = File.ReadAllBytes(path);
        }
        catch (Exception fault) when (fault is FileNotFoundException or DirectoryNotFoundException)
        {
            return Refuse(DiagnosticCode.HitsUnreadable, "is not there", "Check its name and folder, or write \"measure\" to have the hits found");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return Refuse(DiagnosticCode.HitsUnreadable, "could not be read", "See that it is a file and that you may read it");
        }

        if (TextEncodingFault.Find(bytes) is { } coding)
            return Refuse(DiagnosticCode.HitsWrong, "is not UTF-8 text", coding.Remedy);
        return new Lines(name, sampleRateHz, diagnostics).Read(Encoding.UTF8.GetString(bytes).TrimStart('\uFEFF'));

        IReadOnlyList<Hit>? Refuse(DiagnosticCode code, string sentence, string remedy)
        {
            diagnostics.Add(new(code, askedAt.File, askedAt.At, $"the file of hits, {name}, {sentence}", remedy));
            return null;
        }
    }

    /// <summary>Writes hits to be read again: to the microsecond, so that every rate finds its frames again.</summary>
    public static void Write(TextWriter writer, IEnumerable<Hit> hits, int sampleRateHz)
    {
        writer.Write(Header + "\n");
        foreach (var hit in hits)
            writer.Write(string.Create(CultureInfo.InvariantCulture, $"{hit.Frame / (double)sampleRateHz:0.000000},{hit.Strength:0.##}\n"));
    }

    private sealed class Lines(string name, int sampleRateHz, DiagnosticList diagnostics)
    {
        private readonly List<Hit> _hits = [];
        private int _line, _faults, _columns;
        private (double Seconds, int Line) _last = (-1, 0);

        public List<Hit>? Read(string text)
        {
            foreach (var line in text.Split('\n'))
            {
                _line++;
                var content = line.TrimEnd();
                if (content.TrimStart() is "" or ['#', ..])
                    continue;
                if (_columns > 0)
                    ReadHit(content);
                else if (!ReadHeader(content))
                    return null;
                if (_faults == MostFaults)
                    return null;
            }

            if (_columns == 0)
                Report(1, "there is nothing in it, but its first line must be " + Header, $"Write {Header} in the first line; a song without hits has no more");
            return _faults == 0 ? _hits : null;
        }

        private bool ReadHeader(string content)
        {
            var columns = content.Replace(" ", "", StringComparison.Ordinal).Split(',');
            if (columns is [Seconds] or [Seconds, Strength])
            {
                _columns = columns.Length;
                return true;
            }

            Report(
                1, $"the first line is \"{Shown.Short(content)}\", but it must be {Header}",
                content.Contains(';', StringComparison.Ordinal) ? "Separate columns by commas, and write numbers with a point: 12.5,0.8" : $"Write {Header} in the first line");
            return false;
        }

        private void ReadHit(string content)
        {
            var fields = content.Split(',');
            if (fields.Length > _columns || fields[0].Trim().Length == 0)
            {
                var wanted = _columns == 1 ? "a time in seconds" : "a time in seconds and a strength";
                Report(
                    1, string.Create(CultureInfo.InvariantCulture, $"\"{Shown.Short(content)}\" has {fields.Length} values, but a line must be {wanted}"),
                    "Write numbers with a point, not a comma: " + (_columns == 1 ? "12.5" : "12.5,0.8"));
                return;
            }

            var seconds = Number(fields[0], 1, Seconds, 0, MaxSeconds);
            var strength = fields.Length > 1 ? Number(fields[1], fields[0].Length + 2, Strength, Hit.MinStrength, Hit.MaxStrength) : 1;
            if (seconds is not { } time || strength is not { } force)
                return;
            if (time <= _last.Seconds)
            {
                Report(
                    1, string.Create(CultureInfo.InvariantCulture, $"the hit at {time} s comes after that at {_last.Seconds} s in line {_last.Line}, but hits must stand in the order of the song"),
                    "Sort the lines by their time, and leave out what stands twice");
                return;
            }

            _last = (time, _line);
            _hits.Add(new((long)Math.Round(time * sampleRateHz, MidpointRounding.AwayFromZero), Math.Round(100 * force) / 100));
        }

        private double? Number(string field, int column, string what, double min, double max)
        {
            var text = field.Trim();
            var isNumber = double.TryParse(text, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign | NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out var number);
            if (isNumber && number >= min && number <= max)
                return number;
            Report(
                column,
                string.Create(CultureInfo.InvariantCulture, $"{what} is {(text.Length == 0 ? "empty" : isNumber ? Shown.Short(text) : $"\"{Shown.Short(text)}\"")}, but it must be a number between {min} and {max}"),
                "Write it with digits and a point, such as " + (what == Seconds ? "12.5" : "0.8"));
            return null;
        }

        private void Report(int column, string sentence, string remedy)
        {
            _faults++;
            diagnostics.Add(new(DiagnosticCode.HitsWrong, name, new(_line, column), sentence, remedy));
        }
    }
}
