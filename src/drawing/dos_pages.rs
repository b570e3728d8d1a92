//! The code pages of DOS that old drawings are written in, for which `encoding_rs` has none.

/// Number of a code page, and its characters for the bytes 0x80 to 0xFF: those of the Unicode Consortium's mapping
/// tables (VENDORS/MICSFT/PC), without a character where these have none.
const PAGES: [(&str, &str); 10] = [
    (
        "437",
        "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
         └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}",
    ),
    (
        "850",
        "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒáíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐\
         └┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u{ad}±‗¾¶§÷¸°¨·¹³²■\u{a0}",
    ),
    (
        "852",
        "ÇüéâäůćçłëŐőîŹÄĆÉĹĺôöĽľŚśÖÜŤťŁ×čáíóúĄąŽžĘę¬źČş«»░▒▓│┤ÁÂĚŞ╣║╗╝Żż┐\
         └┴┬├─┼Ăă╚╔╩╦╠═╬¤đĐĎËďŇÍÎě┘┌█▄ŢŮ▀ÓßÔŃńňŠšŔÚŕŰýÝţ´\u{ad}˝˛ˇ˘§÷¸°¨˙űŘř■\u{a0}",
    ),
    (
        "855",
        "ђЂѓЃёЁєЄѕЅіІїЇјЈљЉњЊћЋќЌўЎџЏюЮъЪаАбБцЦдДеЕфФгГ«»░▒▓│┤хХиИ╣║╗╝йЙ┐\
         └┴┬├─┼кК╚╔╩╦╠═╬¤лЛмМнНоОп┘┌█▄Пя▀ЯрРсСтТуУжЖвВьЬ№\u{ad}ыЫзЗшШэЭщЩчЧ§■\u{a0}",
    ),
    (
        "857",
        "ÇüéâäàåçêëèïîıÄÅÉæÆôöòûùİÖÜø£ØŞşáíóúñÑĞğ¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐\
         └┴┬├─┼ãÃ╚╔╩╦╠═╬¤ºªÊËÈ\u{fffd}ÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµ\u{fffd}×ÚÛÙìÿ¯´\u{ad}±\u{fffd}¾¶§÷¸°¨·¹³²■\u{a0}",
    ),
    (
        "860",
        "ÇüéâãàÁçêÊèÍÔìÃÂÉÀÈôõòÚùÌÕÜ¢£Ù₧ÓáíóúñÑªº¿Ò¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
         └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}",
    ),
    (
        "861",
        "ÇüéâäàåçêëèÐðÞÄÅÉæÆôöþûÝýÖÜø£Ø₧ƒáíóúÁÍÓÚ¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
         └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}",
    ),
    (
        "863",
        "ÇüéâÂà¶çêëèïî‗À§ÉÈÊôËÏûù¤ÔÜ¢£ÙÛƒ¦´óú¨¸³¯Î⌐¬½¼¾«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
         └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}",
    ),
    (
        "865",
        "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø₧ƒáíóúñÑªº¿⌐¬½¼¡«¤░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
         └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}",
    ),
    (
        "869",
        "\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}Ά\u{fffd}·¬¦‘’Έ―ΉΊΪΌ\u{fffd}\u{fffd}ΎΫ©Ώ²³ά£έήίϊΐόύΑΒΓΔΕΖΗ½ΘΙ«»░▒▓│┤ΚΛΜΝ╣║╗╝ΞΟ┐\
         └┴┬├─┼ΠΡ╚╔╩╦╠═╬ΣΤΥΦΧΨΩαβγ┘┌█▄δε▀ζηθικλμνξοπρσςτ΄\u{ad}±υφχ§ψ΅°¨ωϋΰώ■\u{a0}",
    ),
];

/// The upper half of a code page by its number, such as `850`.
pub(super) fn upper_half(number: &str) -> Option<&'static str> {
    PAGES.iter().find(|page| page.0 == number).map(|page| page.1)
}

/// Text in a code page with the given upper half.
pub(super) fn decode(upper_half: &str, bytes: &[u8]) -> String {
    let character = |byte: &u8| match byte.checked_sub(0x80) {
        None => Some(char::from(*byte)),
        Some(place) => upper_half.chars().nth(usize::from(place)),
    };
    bytes.iter().map(|byte| character(byte).unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_page_has_128_characters() {
        for (number, page) in PAGES {
            assert_eq!(page.chars().count(), 128, "{number}");
            // The upper halves hold no ASCII: a table that slipped would.
            assert!(!page.is_ascii() && page.chars().all(|c| c >= '\u{80}'), "{number}");
        }
    }

    #[test]
    fn german_and_french_words() {
        let decoded = |number, bytes: &[u8]| decode(upper_half(number).unwrap(), bytes);
        // From memory: ß is 0xE1, Ø 0x9D in 850 (¥ in 437), é 0x82, č 0x9F in 852.
        assert_eq!(decoded("437", b"Schwei\xe1naht \x82"), "Schweißnaht é");
        assert_eq!(decoded("850", b"\x9d 20 \x82"), "Ø 20 é");
        assert_eq!(decoded("852", b"\x9f\xff"), "č\u{a0}");
        assert_eq!(upper_half("1361"), None);
    }
}
