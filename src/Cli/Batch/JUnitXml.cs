using System.Globalization;
using System.Xml;

namespace RenderGraph.Cli.Batch;

/// <summary>
/// A batch as test results, in the XML that continuous-integration servers read (the de-facto form: testsuites, testsuite, testcase, failure, error). A song is a suite; its render is a case, and so is each of its gates. A gate
/// that does not hold is a failure; a song that could not be rendered is an error. Nothing tells a time: it would change from run to run.
/// </summary>
internal static class JUnitXml
{
    public static void Write(TextWriter writer, BatchResult batch)
    {
        using var xml = XmlWriter.Create(writer, new XmlWriterSettings { Indent = true, NewLineChars = "\n", CloseOutput = false, OmitXmlDeclaration = true });
        writer.Write("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        xml.WriteStartElement("testsuites");
        xml.WriteAttributeString("name", Clean(batch.Title));
        WriteCounts(xml, batch.Songs);
        foreach (var song in batch.Songs)
        {
            xml.WriteStartElement("testsuite");
            xml.WriteAttributeString("name", Clean(song.Name));
            WriteCounts(xml, [song]);
            WriteCase(xml, song, "render", song.State.IsWritten() ? null : "error", song.Findings.FirstOrDefault(finding => finding.IsError)?.Code, song.Reasons);
            foreach (var gate in song.Gates)
                WriteCase(xml, song, gate.Subject, gate.State == "failed" ? "failure" : null, "gate", [gate.Reason ?? gate.Subject]);
            xml.WriteEndElement();
        }

        xml.WriteEndElement();
        xml.Flush();
        writer.Write('\n');
    }

    private static void WriteCounts(XmlWriter xml, IReadOnlyList<SongResult> songs)
    {
        WriteNumber("tests", songs.Sum(song => 1 + song.Gates.Count));
        WriteNumber("failures", songs.Sum(song => song.Gates.Count(gate => gate.State == "failed")));
        WriteNumber("errors", songs.Count(song => !song.State.IsWritten()));

        void WriteNumber(string name, int number) => xml.WriteAttributeString(name, number.ToString(CultureInfo.InvariantCulture));
    }

    private static void WriteCase(XmlWriter xml, SongResult song, string name, string? fault, string? kind, IEnumerable<string> reasons)
    {
        xml.WriteStartElement("testcase");
        xml.WriteAttributeString("classname", Clean(song.Name));
        xml.WriteAttributeString("name", Clean(name));
        if (fault is not null)
        {
            var lines = reasons.Select(Clean).ToList();
            xml.WriteStartElement(fault);
            xml.WriteAttributeString("type", kind ?? song.State.Text());
            xml.WriteAttributeString("message", lines.FirstOrDefault() ?? song.State.Word());
            xml.WriteString(string.Join('\n', lines));
            xml.WriteEndElement();
        }

        xml.WriteEndElement();
    }

    /// <summary>Names of folders may hold what XML cannot: it is written as JSON would.</summary>
    private static string Clean(string text)
    {
        var isClean = true;
        for (var index = 0; index < text.Length && isClean; index++)
            isClean = XmlConvert.IsXmlChar(text[index]) || (index + 1 < text.Length && XmlConvert.IsXmlSurrogatePair(text[index + 1], text[index++]));
        return isClean ? text : string.Concat(text.EnumerateRunes().Select(rune =>
            rune.IsBmp && !XmlConvert.IsXmlChar((char)rune.Value) ? string.Create(CultureInfo.InvariantCulture, $"\\u{rune.Value:x4}") : rune.ToString()));
    }
}
