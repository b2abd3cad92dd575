package words

// enPeople say what is wrong with what a person gives to sign in, and with what
// an owner sets up.
var enPeople = map[string]string{
	"required": "This is needed.",

	// People and secrets.
	"sign_in_wrong":   "Login and password do not belong together.",
	"choice_unknown":  "This is not one of the choices.",
	"login_form":      "A login has 2 to 64 small letters, digits, full stops, hyphens, underscores or @ signs, and no spaces.",
	"text_form":       "This holds characters that cannot be shown, or is too long.",
	"password_short":  "A password has at least {least} characters.",
	"password_common": "This is among the first that anybody would try: common words, a name, a pattern. Choose another.",
	"pin_easy":        "This PIN is too easy to guess.",
	"secret_not_set":  "Nothing to confirm with is set: the owner can set a PIN or a password.",
	"secret_wrong":    "That is not right. Tries left: {left}.",
	"last_owner":      "One active owner must remain.",

	// Families, products, specifications, instruments.
	"unknown_time_zone":    "{typed} is not a time zone such as Europe/London.",
	"not_an_https_address": "The public address is https://, a host, and a folder where there is one: https://shop.example/check.",
}
