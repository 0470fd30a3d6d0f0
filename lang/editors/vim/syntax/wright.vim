" Colours of a spec for Vim and Neovim, made by lang/editing/editors.py from the compiler's own words.
if exists("b:current_syntax")
  finish
endif
syntax case match

syntax keyword wrightStatement accept given let make recipe require use
syntax keyword wrightJoining as because by else to
syntax keyword wrightConstant auto no yes
syntax match wrightProperty /\v<%(aerofoil|after|along|arc|area|arm|aspect_ratio|at|axis|back|balance_x|balance_y|balance_z|ballast|ballast_at|bare|before|bend|between|bevel|blank_angle|blank_inner_radius|blank_length|blank_outer_radius|blank_width|bore|build|carve|centre|chord|corner|count|cut|cut_at|cut_length|cut_seam|density|depth|diameter|diameter_inner_face|diameter_outer_face|dihedral|down|downwash|edges|effect|end|end_inside|evenness|face|faces|facing|facing_mass|far|first|fit|fraction|from|gap|grain|groove|grooves|half_angle|hand|height|hinge|horn|incidence|info|inset|inside|joined|joint|kerf|kind|language|layers|left|length|lengths|lower|margin|mark|mass|material|mean_chord|mean_chord_x|mean_chord_y|measured_bar|middle|min_radius|nearest|neutral|neutral_point|offsets|on|on_hand|open|opening|outline|over|overall|overlap|paper|peel|pieces|place|plain_radius|plan_scale|power|price|profile|quantity|reach|revision|ribs|right|rim|roll|root|run|runs|score|seam|seam_at|seat|section|set_back|share|sheet|sheet_mass|side|sides|size|skin|skins|slant|slide|span|stagger|start|start_inside|static_margin|stock|sweep|tab|tab_at|takes|taper|target|text|thickness|through|tip|tip_back|tip_up|title|to|together|tolerance|tool|turned|units|up|upper|view|volume|wall|washout|weighed|width|wing|within|worst_deviation|worst_strain|worst_twist|x|x_aft|x_end|x_fore|x_start|y|z)>\ze\s*\=[^=]/
syntax match wrightChoice /\v\=\s*\zs<%(a3|a4|above|across|aft|along|along_height|along_width|around|auto|back|balanced|balsa|below|black|blue|both|bottom|box|brass|butt|cap|card|centre|cones|corners|curve|cyan|each|edges|face|film|flap|flush|foam|foamboard|folded|fore|free|front|gores|green|in|inside|joints|knife|lap|laser|lead|left|legal|letter|lower|magenta|middle|middles|mm|narrows|none|notched|offsets|oval|paper|peeled|plain|plate|ply|rear|red|ribs|right|rod|roll|round|scarf|scored|seams|section|side|sleeve|steel|straddle|strap|tab|tabloid|tail|through|top|tube|tungsten|up|upper|web|widens|wing|yellow)>/
syntax match wrightFunction /\v<%(abs|acos|aerofoil|aerofoil_file|arc|asin|atan2|behind|both|both_curve|circle|circle_fit|circle_through|common|corner|cos|curve|ellipse|ellipse_fit|half|half_curve|hypot|inset|joined|max|min|minus|mirrored|moved|outset|polygon|quarter_ellipse|rect|round_to|scaled|sin|sqrt|superellipse|tan|traced|turned)>\ze[(\[]/
syntax match wrightKind /\v%(^|[{,}])\s*\zs<%(allowance|balance|barrel|body|buy|cone|cones|control|cutting|deck|dome|fin|floor|former|formers|hole|holes|joiner|load|model|offcut|offsets|panel|piece|plate|printing|ring|saddle|score|section|side|slot|spar|splice|stack|station|step|stock|strip|tail|thrust|wing|wrap)>\ze%(\s+\h\w*)?\s*\{/
syntax match wrightUnit /\v%([0-9)\]]\s*)@<=%(lb\/ft3|oz\/ft2|oz\/in2|oz\/yd2|g\/cm3|g\/dm2|kg\/m2|kg\/m3|g\/cm|g\/m2|cm2|deg|dm2|ft2|g\/m|in2|mm2|rad|cm|ft|in|kg|lb|m2|mm|oz|\%|g|m|°)\w@!/
syntax match wrightNumber /\v<\d+%(\s+\d+\/\d+|\/\d+\ze\s*\a|\.\d+)?%([eE][+-]?\d+)?/
syntax match wrightMark /\v\@|±|\+\/-/
syntax match wrightBar /\v^\s*\||\|/
syntax region wrightText start=/"/ skip=/\\["\\]/ end=/"\|$/ oneline
syntax match wrightRemark /#.*/ contains=@Spell
syntax region wrightBlock start=/{/ end=/}/ transparent fold

highlight default link wrightStatement Statement
highlight default link wrightJoining Keyword
highlight default link wrightConstant Constant
highlight default link wrightProperty Identifier
highlight default link wrightChoice Constant
highlight default link wrightFunction Function
highlight default link wrightKind Type
highlight default link wrightUnit Special
highlight default link wrightNumber Number
highlight default link wrightMark Operator
highlight default link wrightBar Delimiter
highlight default link wrightText String
highlight default link wrightRemark Comment

let b:current_syntax = "wright"
